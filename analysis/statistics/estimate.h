#pragma once
// An estimate is a mean with its spread and its interval.

#include <optional>
#include <span>

#include "analysis/statistics/interval.h"

namespace isoseam {

struct Estimate {
    double mean = 0.0;
    // Divided by n - 1; a single value has none.
    std::optional<double> sd;
    // The interval of the mean, by Student's t with n - 1 degrees of freedom. It holds for values that were
    // drawn independently.
    std::optional<Interval> interval_95;
};
Estimate estimate(std::span<const double> values);  // at least one

}  // namespace isoseam
