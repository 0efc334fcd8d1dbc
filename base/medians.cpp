#include "base/medians.h"

#include <algorithm>
#include <cmath>

#include "base/errors.h"

namespace isoseam {

double median(std::vector<double> values) {
    ISOSEAM_CHECK(!values.empty());
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    if (values.size() % 2 == 1)
        return *middle;
    return 0.5 * (*std::max_element(values.begin(), middle) + *middle);
}

double median_deviation(std::span<const double> values, double centre) {
    std::vector<double> deviations;
    deviations.reserve(values.size());
    for (const double value : values)
        deviations.push_back(std::abs(value - centre));
    return median(std::move(deviations));
}

}  // namespace isoseam
