#pragma once
// How long a screen takes to settle, and how steady it stays: what readings of white over time tell, as those
// of the measuring plan "drift".

#include <optional>
#include <string>
#include <vector>

#include "calibration/readings.h"

namespace isoseam {

// A screen has settled when white's light changes by no more than this share in a minute (the usual rule of
// the warm-up watch too).
inline constexpr double kSettledPerMinute = 0.001;
// White's change at a moment is the slope of a straight line through the readings from so long before it to
// so long after it.
inline constexpr double kSlopeReachSeconds = 300.0;

// A straight line's slope, and the slope's standard error.
struct ChangeOfLight {
    double share = 0.0;
    double standard_error = 0.0;
};

// Light is luminance (CIE 1931) at the usual patch; changes are shares of the mean of all whites.
struct Steadiness {
    int whites = 0;
    double watched_s = 0.0;  // from the first white to the last
    double settled_per_min = kSettledPerMinute;
    bool long_enough = false;       // for a line of twice kSlopeReachSeconds
    double scatter = 0.0;           // SD of one white about its neighbours' line, as a share; 0 if unknown
    ChangeOfLight per_min_at_last;  // over the last 2 * kSlopeReachSeconds
    std::optional<double> settled_at_s;  // since the first white; none where it had not settled
    // From then on:
    double excess_at_first = 0.0;  // the first white, relative to the mean white after settling, less 1
    ChangeOfLight per_hour;

    // Black, as shares of the mean white.
    int blacks = 0;
    double black = 0.0;
    double least_black = 0.0;
    double most_black = 0.0;
    // Any other colour that was read twice or more: its last reading relative to its first, less 1.
    struct Colour {
        Drive drive;
        double change = 0.0;
    };
    std::vector<Colour> colours;
};

// Says whether readings follow the screen over time instead of covering its drives: white was read at three
// times or more, and each primary alone at one level.
bool follows_over_time(const Readings& readings);

// A pure function of the readings and of the rule, which is a share per minute above 0. There is no result
// without two whites at different times.
std::optional<Steadiness> steadiness_of(const Readings& readings, double settled_per_min = kSettledPerMinute);

// Says it in whole sentences for a person.
std::vector<std::string> steadiness_words(const Steadiness& steadiness);

}  // namespace isoseam
