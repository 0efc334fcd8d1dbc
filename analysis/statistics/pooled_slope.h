#pragma once
// One slope for several groups, each with a level of its own: y_gi = level_g + slope x_gi + e_gi. Least
// squares on what differs within groups; interval and p by Student's t with N - groups - 1 degrees of
// freedom.

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "analysis/statistics/interval.h"

namespace isoseam {

struct PooledSlope {
    double slope = 0.0;
    double standard_error = 0.0;
    Interval interval_95;
    double p = 1.0;  // of a slope at least so far from 0 where there is none
    double degrees = 0.0;
};

struct SlopePoint {
    double x = 0.0;
    double y = 0.0;
};
// None where x does not differ within any group, or no degree of freedom is left. Where y is a line of x to
// the last digit, the standard error is 0 and p is 0 or, without any slope, 1.
std::optional<PooledSlope> pooled_slope(std::span<const std::vector<SlopePoint>> groups);

}  // namespace isoseam
