#pragma once
// This header finds how long a screen takes to settle and how steady it stays, from readings of white over
// time, such as those of the measuring plan "drift".

#include <optional>
#include <string>
#include <vector>

#include "calibration/readings.h"

namespace isoseam {

// A screen has settled when white's light changes by no more than this share in a minute (the usual rule of
// the warm-up watch too).
inline constexpr double kSettledPerMinute = 0.001;
// The change of white at a moment is the slope of a straight line through the readings from this long before
// the moment to this long after it.
inline constexpr double kSlopeReachSeconds = 300.0;

// This is the slope of a straight line, and the standard error of the slope.
struct ChangeOfLight {
    double share = 0.0;
    double standard_error = 0.0;
};

// Light is the luminance (CIE 1931) at the usual patch. Changes are shares of the mean of all whites.
struct Steadiness {
    int whites = 0;
    double watched_s = 0.0;  // from the first white to the last
    double settled_per_min = kSettledPerMinute;
    // True if the time is long enough for a line of twice kSlopeReachSeconds.
    bool long_enough = false;
    // The SD of one white about the line through its neighbours, as a share. It is 0 if unknown.
    double scatter = 0.0;
    ChangeOfLight per_min_at_last;  // over the last 2 * kSlopeReachSeconds
    // The time since the first white. There is none if white had not settled.
    std::optional<double> settled_at_s;
    // The members that follow describe the time from then on.
    // The first white relative to the mean white after settling, minus 1.
    double excess_at_first = 0.0;
    ChangeOfLight per_hour;

    // The readings of black are given as shares of the mean white.
    int blacks = 0;
    double black = 0.0;
    double least_black = 0.0;
    double most_black = 0.0;
    // This is any other colour that was read twice or more: its last reading relative to its first, minus 1.
    struct Colour {
        Drive drive;
        double change = 0.0;
    };
    std::vector<Colour> colours;
};

// Says whether readings follow the screen over time instead of covering its drives: white was read at three
// times or more, and each primary alone at one level.
bool follows_over_time(const Readings& readings);

// This is a pure function of the readings and of the rule, which is a share per minute above 0. There is no
// result without two whites at different times.
std::optional<Steadiness> steadiness_of(const Readings& readings, double settled_per_min = kSettledPerMinute);

// Says it in whole sentences for a person.
std::vector<std::string> steadiness_words(const Steadiness& steadiness);

}  // namespace isoseam
