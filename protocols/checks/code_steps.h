#pragma once
// What the steps of a screen's codes do near a predicted match.

#include <Eigen/Core>
#include <vector>

#include "protocols/procedures/adjustment.h"

namespace isoseam {

// The contrast that one code more makes in each cone: the largest over primaries.
Eigen::Vector3d contrast_of_one_code(const AdjustmentProblem& problem, int bits);

// The number of codes by which a position moves the primary that it moves most, counted from the match.
double codes_of(const AdjustmentProblem& problem, const Eigen::VectorXd& position, int bits);

}  // namespace isoseam
