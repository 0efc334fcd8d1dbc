#pragma once
// These are the intervals of the variances of nested_effects.h, without covariates: of settings within
// sessions, of sessions within participants, and of participants. They rest on mean squares
// (mean_square_intervals.h). That of settings is exact. The other two compare means that each have the same
// weight, with the harmonic mean of the numbers of settings and of sessions (Thomas & Hultquist 1978, Annals
// of Statistics 6, 582; Burdick & Graybill 1992, Confidence Intervals on Variance Components; from memory).
// They are cut at 0.

#include <optional>

#include "analysis/statistics/interval.h"
#include "analysis/statistics/nested_effects.h"

namespace isoseam {

struct NestedIntervals {
    // There are intervals of the same variances as in NestedFit.
    std::optional<Interval> participant_95;
    std::optional<Interval> session_95;
    Interval setting_95;
};

// There are none where fit_nested() gives no fit. The settings have no covariates (checked).
std::optional<NestedIntervals> nested_intervals(const NestedSettings& settings);

}  // namespace isoseam
