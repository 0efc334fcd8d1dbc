#pragma once
// This header describes how white changed while the screen was measured.

#include <vector>

namespace isoseam {

struct WhiteAtTime {
    double at_s = 0.0;
    double light = 0.0;  // in any unit, all in the same
};

struct Drift {
    int whites = 0;
    // The largest minus the smallest, as a share of their mean.
    double range = 0.0;
    // The slope of a straight line, as a share of the mean; it is 0 without times.
    double per_hour = 0.0;
    // True if gain_at follows a change that stands out of the scatter of the readings.
    bool followed = false;
    // The standard error of the last white, to which gain_at is relative. It is 0 if the change is not
    // followed.
    double gain_sd = 0.0;
    std::vector<WhiteAtTime> smooth;  // what gain_at goes through

    // Gives the light of white at a time, relative to that of the last white. It is 1 if the change was not
    // followed. Readings divided by it are as they would have been at the end, when the screen had been on
    // longest.
    double gain_at(double at_s) const;
};

// Fewer whites than this do not show how white changed between them.
inline constexpr int kFewestWhitesToFollow = 4;

// `whites` are in the order of time. If they have times, the change is followed by straight lines through the
// neighbours in time (their weights fall off as a Gaussian of a sixth of the whole time), provided that the
// change is larger than five of its standard errors. Without drift this almost never happens.
Drift drift_of(const std::vector<WhiteAtTime>& whites);

}  // namespace isoseam
