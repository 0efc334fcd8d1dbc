#pragma once
// How white changed while the screen was measured.

#include <vector>

namespace isoseam {

struct WhiteAtTime {
    double at_s = 0.0;
    double light = 0.0;  // in any unit, all in the same
};

struct Drift {
    int whites = 0;
    double range = 0.0;     // largest less smallest, as a share of their mean
    double per_hour = 0.0;  // slope of a straight line as a share of the mean; 0 without times
    bool followed = false;  // whether gain_at tells a change that stands out of the readings' scatter
    double gain_sd = 0.0;   // standard error of the last white that gain_at is relative to; 0 if not followed
    std::vector<WhiteAtTime> smooth;  // what gain_at goes through

    // White's light at a time relative to that at the last white: 1 where it was not followed. Readings
    // divided by it are as they would have been at the end, when the screen had run longest.
    double gain_at(double at_s) const;
};

// Fewer whites than this say nothing about how it went in between.
inline constexpr int kFewestWhitesToFollow = 4;

// The whites in the order of time. With times it is followed by straight lines through the neighbours in time
// (weights fall off as a Gaussian of a sixth of the whole time), if that goes over more than five of
// its standard errors: without drift that hardly ever happens.
Drift drift_of(const std::vector<WhiteAtTime>& whites);

}  // namespace isoseam
