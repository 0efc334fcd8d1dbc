#pragma once
// How far a direction can be followed before a light leaves the gamut.

#include "protocols/procedures/adjustment.h"

namespace isoseam {

// The largest t such that stimulus_at(problem, t * direction) and all before it are in gamut, found to 1e-9
// of itself and never beyond; 0 when the predicted match itself is not. At most kFarthestReach.
double gamut_reach(const AdjustmentProblem& problem, const Eigen::VectorXd& direction);
inline constexpr double kFarthestReach = 1e6;

}  // namespace isoseam
