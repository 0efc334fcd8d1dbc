#pragma once
// A mean with its spread and its interval.

#include <optional>
#include <span>

#include "analysis/statistics/interval.h"

namespace isoseam {

struct Estimate {
    double mean = 0.0;
    std::optional<double> sd;  // by n - 1; one value has none
    // Of the mean, by Student's t with n - 1 degrees of freedom: for values that were drawn independently.
    std::optional<Interval> interval_95;
};
Estimate estimate(std::span<const double> values);  // at least one

}  // namespace isoseam
