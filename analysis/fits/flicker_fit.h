#pragma once
// The fit finds how much L and M weigh in luminance, from lights that were set so that they flicker least
// against each other. At the null
//     share L_adjusted + (1 - share) M_adjusted = share L_reference + (1 - share) M_reference
// with excitations by energy-based fundamentals of peak 1. The logarithm of the adjusted light's intensity
// scatters normally from setting to setting, equally in all conditions; share is from 0 to 1. So the most
// likely share has the smallest sum of squares Q of the residuals ln(luminance of adjusted / luminance of
// reference). The interval holds every share with Q <= Q_least (1 + F / (n - 1)), where F is the 95 %
// quantile of F(1, n - 1). This is the profile likelihood, held to F instead of chi-square because the
// scatter is not known (common practice for non-linear regression, no source).

#include <Eigen/Core>
#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "analysis/statistics/interval.h"

namespace isoseam {

struct FlickerNull {
    int condition = 0;          // 0 ..
    Eigen::Vector2d adjusted;   // L, M; above 0
    Eigen::Vector2d reference;  // L, M; above 0
};

struct FlickerConditionFit {
    std::size_t settings = 0;
    // The mean of ln(luminance of adjusted / luminance of reference), by the share that was found.
    double residual = 0.0;
    // The standard deviation of the residuals.
    std::optional<double> sd;
};

struct FlickerFit {
    double share = 0.0;  // of L
    Interval share_95;   // cut at 0 and 1
    // True if not even a share of 0 can be excluded.
    bool open_low = false;
    // True if not even a share of 1 can be excluded.
    bool open_high = false;
    double noise = 0.0;  // SD of ln intensity, n - 1 degrees of freedom
    std::size_t settings = 0;
    std::vector<FlickerConditionFit> conditions;
    // Whether conditions agree on one share: the p of an F test of their mean residuals against the scatter
    // within conditions. There is none for one condition, or if there is no scatter within conditions.
    std::optional<double> agreement_p;
};

// There is no fit for fewer than two settings, or if the two lights have the same L : M in every condition.
std::optional<FlickerFit> fit_flicker(std::span<const FlickerNull> nulls);

// If ln(L / M) of its two lights differs by less than this, a condition says nothing about the share: a
// change of the share by 0.1 moves its null by at most 0.1 %.
inline constexpr double kSameRatio = 0.01;
bool tells_share(const Eigen::Vector2d& adjusted, const Eigen::Vector2d& reference);

// Gives L : M. It is infinite for a share of 1.
double ratio_of_share(double share);

}  // namespace isoseam
