#include "analysis/statistics/estimate.h"

#include <cmath>

#include "analysis/statistics/distributions.h"
#include "base/errors.h"

namespace isoseam {

Estimate estimate(std::span<const double> values) {
    ISOSEAM_CHECK(!values.empty());
    const auto count = static_cast<double>(values.size());
    // Differences from the first value keep the digits that a large common part would take.
    const double shift = values.front();
    double sum = 0.0;
    for (const double value : values)
        sum += value - shift;
    Estimate result;
    result.mean = shift + sum / count;
    if (values.size() == 1)
        return result;
    double squares = 0.0;
    for (const double value : values) {
        const double deviation = (value - shift) - sum / count;
        squares += deviation * deviation;
    }
    result.sd = std::sqrt(squares / (count - 1.0));
    constexpr double kUpper = 0.975;
    const double reach = student_t_quantile(kUpper, count - 1.0) * *result.sd / std::sqrt(count);
    result.interval_95 = Interval{result.mean - reach, result.mean + reach};
    return result;
}

}  // namespace isoseam
