#pragma once
// The middle of some values, and how far they lie from it.
//
//     const double sd = kSdPerMedianDeviation * median_deviation(values, median(values));    // robust

#include <span>
#include <vector>

namespace isoseam {

// The standard deviation of a normal distribution divided by its median absolute deviation: 1 over the
// normal quantile of 0.75, to four decimals, as is usual.
inline constexpr double kSdPerMedianDeviation = 1.4826;

// The middle value; of an even number of values the mean of the two in the middle. ISOSEAM_CHECK: there is
// one.
double median(std::vector<double> values);

// The median absolute deviation from `centre`. ISOSEAM_CHECK: there is a value.
double median_deviation(std::span<const double> values, double centre);

}  // namespace isoseam
