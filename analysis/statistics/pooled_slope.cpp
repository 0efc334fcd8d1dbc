#include "analysis/statistics/pooled_slope.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "analysis/statistics/distributions.h"

namespace isoseam {
namespace {

struct Sums {
    double xx = 0.0;
    double xy = 0.0;
    double yy = 0.0;
    double degrees = 0.0;  // of y, before the slope is found
};

// The sums of one group.
Sums within(const std::vector<SlopePoint>& group) {
    const SlopePoint& first = group.front();  // differences keep the digits of a large common part
    const auto n = static_cast<double>(group.size());
    double x = 0.0;
    double y = 0.0;
    for (const SlopePoint& point : group) {
        x += (point.x - first.x) / n;
        y += (point.y - first.y) / n;
    }
    Sums sums;
    for (const SlopePoint& point : group) {
        const double dx = point.x - first.x - x;
        const double dy = point.y - first.y - y;
        sums.xx += dx * dx;
        sums.xy += dx * dy;
        sums.yy += dy * dy;
    }
    return sums;
}

// There are none if x does not differ within any group.
std::optional<Sums> sums_within(std::span<const std::vector<SlopePoint>> groups) {
    Sums sums;
    double largest_x = 0.0;
    for (const std::vector<SlopePoint>& group : groups) {
        if (group.empty())
            continue;
        const Sums of_group = within(group);
        sums.xx += of_group.xx;
        sums.xy += of_group.xy;
        sums.yy += of_group.yy;
        sums.degrees += static_cast<double>(group.size()) - 1.0;
        for (const SlopePoint& point : group)
            largest_x = std::max(largest_x, std::abs(point.x));
    }
    // What rounding alone leaves of equal values.
    const double rounding = std::numeric_limits<double>::epsilon() * largest_x;
    return sums.xx > rounding * rounding ? std::optional(sums) : std::nullopt;
}

}  // namespace

std::optional<double> least_squares_slope(std::span<const std::vector<SlopePoint>> groups) {
    const std::optional<Sums> sums = sums_within(groups);
    return sums ? std::optional(sums->xy / sums->xx) : std::nullopt;
}

std::optional<PooledSlope> pooled_slope(std::span<const std::vector<SlopePoint>> groups) {
    const std::optional<Sums> sums = sums_within(groups);
    if (!sums || !(sums->degrees > 1.0))
        return std::nullopt;
    const double degrees = sums->degrees - 1.0;
    PooledSlope result;
    result.degrees = degrees;
    result.slope = sums->xy / sums->xx;
    const double residual = std::max(0.0, sums->yy - result.slope * sums->xy);  // rounding may go below 0
    result.standard_error = std::sqrt(residual / degrees / sums->xx);
    constexpr double kUpper = 0.975;
    const double reach = student_t_quantile(kUpper, degrees) * result.standard_error;
    result.interval_95 = {result.slope - reach, result.slope + reach};
    if (result.standard_error > 0.0)
        result.p = student_t_two_sided_p(result.slope / result.standard_error, degrees);
    else
        result.p = result.slope == 0.0 ? 1.0 : 0.0;
    return result;
}

}  // namespace isoseam
