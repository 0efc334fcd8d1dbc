#pragma once
// How much L and M weigh in luminance, from lights that flicker least against each other. At the null
//     share L_adjusted + (1 - share) M_adjusted = share L_reference + (1 - share) M_reference
// with excitations by energy-based fundamentals of peak 1. Settings scatter normally in the logarithm of the
// adjusted light's intensity, all conditions alike; share is from 0 to 1. So the most likely share has the
// least sum of squares Q of the residuals ln(luminance of adjusted / luminance of reference).
// The interval holds every share with Q <= Q_least (1 + F / (n - 1)), F the 95 % quantile of F(1, n - 1): the
// profile likelihood, held to F instead of chi-square since the scatter is not known (common practice for
// non-linear regression, no source).

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
    double residual = 0.0;     // mean of ln(luminance of adjusted / of reference) by the share found
    std::optional<double> sd;  // of the residuals
};

struct FlickerFit {
    double share = 0.0;      // of L
    Interval share_95;       // cut at 0 and 1
    bool open_low = false;   // not even 0 can be excluded
    bool open_high = false;  // not even 1
    double noise = 0.0;      // SD of ln intensity, n - 1 degrees of freedom
    std::size_t settings = 0;
    std::vector<FlickerConditionFit> conditions;
    // Whether conditions agree on one share: p of the F test of their mean residuals against the scatter
    // within conditions. None for one condition, or without scatter within.
    std::optional<double> agreement_p;
};

// None below two settings, or where the lights of no condition differ in L : M.
std::optional<FlickerFit> fit_flicker(std::span<const FlickerNull> nulls);

// Below this difference of ln(L / M) between its lights a condition tells nothing: a change of the share by
// 0.1 moves its null by at most 0.1 %.
inline constexpr double kSameRatio = 0.01;
bool tells_share(const Eigen::Vector2d& adjusted, const Eigen::Vector2d& reference);

// L : M, infinite for a share of 1.
double ratio_of_share(double share);

}  // namespace isoseam
