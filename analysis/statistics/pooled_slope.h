#pragma once
// This is one slope for several groups, each with a level of its own: y_gi = level_g + slope x_gi + e_gi. The
// slope is found by least squares from the differences within groups. Its interval and p follow from
// Student's t with N - groups - 1 degrees of freedom.

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
    // The probability of a slope at least so far from 0 if the true slope is 0.
    double p = 1.0;
    double degrees = 0.0;
};

struct SlopePoint {
    double x = 0.0;
    double y = 0.0;
};
// There is no slope if x does not differ within any group, or if no degree of freedom is left. If y is a
// straight line of x to the last digit, the standard error is 0, and p is 0, or 1 if the slope is 0.
std::optional<PooledSlope> pooled_slope(std::span<const std::vector<SlopePoint>> groups);
// The slope alone, which may leave no degree of freedom. There is none if x does not differ within any group.
std::optional<double> least_squares_slope(std::span<const std::vector<SlopePoint>> groups);

}  // namespace isoseam
