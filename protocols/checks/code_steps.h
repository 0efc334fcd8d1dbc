#pragma once
// What the steps of a screen's codes do near a predicted match.

#include <Eigen/Core>
#include <vector>

#include "protocols/procedures/adjustment.h"

namespace isoseam {

// What one code more does to each cone: the largest contrast over primaries.
Eigen::Vector3d contrast_of_one_code(const AdjustmentProblem& problem, int bits);

// How many codes a position moves the primary that it moves most, seen from the match.
double codes_of(const AdjustmentProblem& problem, const Eigen::VectorXd& position, int bits);

}  // namespace isoseam
