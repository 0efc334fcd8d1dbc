#pragma once
// How far a direction can be followed before a light leaves the gamut.

#include "protocols/procedures/adjustment.h"

namespace isoseam {

// The largest t for which stimulus_at(problem, t * direction) and all lights before it are in gamut. It is
// found to 1e-9 of itself and never lies beyond the border. It is 0 when the predicted match itself is out of
// gamut, and at most kFarthestReach.
double gamut_reach(const AdjustmentProblem& problem, const Eigen::VectorXd& direction);
inline constexpr double kFarthestReach = 1e6;

}  // namespace isoseam
