#include "protocols/setup/gamut_reach.h"

namespace isoseam {

// The gamut is convex and contains the predicted match. On the way along the direction the light therefore
// leaves the gamut only once.
double gamut_reach(const AdjustmentProblem& problem, const Eigen::VectorXd& direction) {
    const auto inside = [&](double t) { return stimulus_at(problem, t * direction).in_gamut; };
    if (!inside(0.0))
        return 0.0;
    double within = 0.0;
    double beyond = 1e-3;
    while (inside(beyond)) {
        within = beyond;
        if (within >= kFarthestReach)
            return kFarthestReach;
        beyond *= 2.0;
    }
    constexpr double kFinest = 1e-9;
    while (!(beyond - within <= kFinest * beyond)) {
        const double middle = 0.5 * (within + beyond);
        (inside(middle) ? within : beyond) = middle;
    }
    return within;
}

}  // namespace isoseam
