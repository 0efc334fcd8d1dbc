#pragma once
// This header finds a location that single far-off values hardly move, and says which values are far off.
// Such values are named, never dropped: every other figure rests on all values.
//
// The location is Huber's M-estimate (Huber 1964, Annals of Mathematical Statistics 35, 73) with k = 1.345,
// by which it is 95 % as efficient as the mean for normal values. The scale is the median absolute deviation
// from the median times 1.4826, which is the SD of normal values (both constants from memory; a test computes
// them).

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

namespace isoseam {

struct RobustEstimate {
    double location = 0.0;
    double scale = 0.0;  // above 0
    // The standard error of the location; it holds for large samples.
    double standard_error = 0.0;
};

// With fewer values the scale has almost no meaning.
inline constexpr std::size_t kFewestForRobust = 5;
// There is no estimate for fewer than kFewestForRobust values, or if half of the values are equal (then the
// scale is 0).
std::optional<RobustEstimate> robust_estimate(std::span<const double> values);

struct FarValue {
    std::size_t index = 0;  // into the values
    // The distance from the location in units of the scale, with its sign.
    double scales = 0.0;
};
// Gives the values that are further than far_limit() from the location.
std::vector<FarValue> far_values(std::span<const double> values, const RobustEstimate& estimate);
// The limit is in units of the scale: of 100 sets of so many independent normal values, 5 have one or more
// values beyond it. `count` must be kFewestForRobust or more (checked).
double far_limit(std::size_t count);

}  // namespace isoseam
