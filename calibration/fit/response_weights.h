#pragma once
// This header computes tristimulus values and cone excitations of many spectra on one grid, as products with
// two matrices.

#include <Eigen/Core>
#include <vector>

#include "colorimetry/observer.h"

namespace isoseam {

// Columns are the grid's wavelengths. xyz * values equals tristimulus() of the piecewise-linear spectrum, and
// lms * values equals observer.excitations(), both to rounding.
struct ResponseWeights {
    ResponseWeights(const std::vector<double>& wavelengths_nm, const Observer& observer);
    Eigen::Matrix3Xd xyz;
    Eigen::Matrix3Xd lms;
};

}  // namespace isoseam
