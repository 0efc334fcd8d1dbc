#pragma once
// What settings and answers both record of their stimulus: the light of each half, and what became of the
// frames.
//
//     const double l = setting.reference.lms[0];  // W/(sr m2), by the nominal observer

#include <array>
#include <cstdint>
#include <string>

#include "results_schema/few.h"
#include "results_schema/record_fields.h"

namespace isoseam {

inline constexpr auto kHalfNames =
    std::to_array<std::string_view>({"left", "right", "upper", "lower", "others", "odd", "first", "second"});

// One half as it was lit. With the calibration of its source it can be computed again for any observer.
struct HalfRecord {
    std::string half;    // one of kHalfNames
    std::string source;  // the source that lit it, as the rig calls it
    Few<double> linear;  // the fractions of each primary that were shown
    Few<int> code;  // what went into the frame buffer; with dither the nearest codes, whose mean is `linear`
    int bits = 8;   // depth of the frame buffer, per primary
    // The excitations of the nominal observer by these codes, black included, in W/(sr m2).
    std::array<double, 3> lms{};

    static constexpr auto fields() {
        constexpr std::size_t kFewestPrimaries = 3;
        return std::tuple{
            listed("half", &HalfRecord::half, {.words = kHalfNames, .in_table = false}),
            listed("source", &HalfRecord::source),
            listed("bits", &HalfRecord::bits, {.least = 1, .most = 16}),
            listed("code", &HalfRecord::code, {.least = 0, .most = 65535, .fewest = kFewestPrimaries}),
            listed("linear", &HalfRecord::linear, {.fewest = kFewestPrimaries}),
            listed("lms", &HalfRecord::lms),
        };
    }
};

// What became of the frames of a stimulus that is timed by frames.
struct FramesRecord {
    std::int64_t shown = 0;
    std::int64_t late = 0;     // frames that came more than half a period after they were due
    std::int64_t dropped = 0;  // refreshes that showed an old frame, since the frame that was due was late

    static constexpr auto fields() {
        return std::tuple{
            listed("shown", &FramesRecord::shown, kCounted),
            listed("late", &FramesRecord::late, kCounted),
            listed("dropped", &FramesRecord::dropped, kCounted),
        };
    }
};

}  // namespace isoseam
