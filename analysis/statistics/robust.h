#pragma once
// A location that single values far off hardly move, and which values are far off. They are named, never
// dropped: every other figure rests on all values.
//
// Location: Huber's M-estimate (Huber 1964, Annals of Mathematical Statistics 35, 73) with k = 1.345, by
// which it is 95 % as efficient as the mean where values are normal. Scale: the median absolute deviation
// from the median times 1.4826, which is the SD of normal values (both constants from memory; a test computes
// them).

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace isoseam {

struct RobustEstimate {
    double location = 0.0;
    double scale = 0.0;           // above 0
    double standard_error = 0.0;  // of the location, asymptotic: large samples
};

// With fewer values the scale says next to nothing.
inline constexpr std::size_t kFewestForRobust = 5;
// None below kFewestForRobust, and where half of the values are alike (then the scale is 0).
std::optional<RobustEstimate> robust_estimate(std::span<const double> values);

struct FarValue {
    std::size_t index = 0;  // into the values
    double scales = 0.0;    // how far from the location, in units of the scale; signed
};
// The values further than far_limit() from the location.
std::vector<FarValue> far_values(std::span<const double> values, const RobustEstimate& estimate);
// In units of the scale; of 100 sets of so many independent normal values, 5 hold one or more beyond it.
// `count`: kFewestForRobust or more (checked).
double far_limit(std::size_t count);

}  // namespace isoseam
