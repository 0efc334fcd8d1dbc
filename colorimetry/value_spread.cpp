#include "colorimetry/value_spread.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "base/errors.h"

namespace isoseam {
namespace {

double percentile(const std::vector<double>& sorted, double percent) {
    const double position = percent / 100.0 * static_cast<double>(sorted.size() - 1);
    const auto below = static_cast<std::size_t>(position);
    const std::size_t above = std::min(below + 1, sorted.size() - 1);
    return std::lerp(sorted[below], sorted[above], position - static_cast<double>(below));
}

}  // namespace

ValueSpread value_spread(std::vector<double> values) {
    ISOSEAM_CHECK(!values.empty() && std::all_of(values.begin(), values.end(),
                                                 [](double value) { return std::isfinite(value); }));
    std::sort(values.begin(), values.end());
    const auto count = static_cast<double>(values.size());
    const double mean = std::accumulate(values.begin(), values.end(), 0.0) / count;
    double squares = 0.0;
    for (const double value : values) {
        squares += (value - mean) * (value - mean);
    }
    return {.mean = mean,
            .standard_deviation = values.size() > 1 ? std::sqrt(squares / (count - 1.0)) : 0.0,
            .percentile_5 = percentile(values, 5.0),
            .percentile_50 = percentile(values, 50.0),
            .percentile_95 = percentile(values, 95.0)};
}

}  // namespace isoseam
