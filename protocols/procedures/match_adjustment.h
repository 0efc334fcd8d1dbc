#pragma once
// One setting by the method of adjustment (adjustment.h), as a procedure in the sense of trial.h. The level
// of a request is the position, with one number for each axis.

#include <cstdint>
#include <optional>

#include "protocols/procedures/adjustment.h"
#include "protocols/procedures/trial.h"

namespace isoseam {

struct MatchAdjustmentSpec {
    AdjustmentProblem problem;
    int trial = 1;  // The trial's number in the session. A random starting point is drawn at this counter.
    // The number of the repeat, from 1, where the starting point brackets the predicted match. No value: the
    // starting point is random.
    std::optional<int> bracket;
};

// `seed` is the session's, so that random starting points are those of start_adjustment() on the stream
// kStreamStartingPoints. The sides of bracketing starting points are drawn on kStreamFirstSide.
AdjustmentState start(const MatchAdjustmentSpec& spec, std::uint64_t seed);
std::optional<TrialRequest> next_trial(const MatchAdjustmentSpec& spec, const AdjustmentState& state);
// Takes the responses `step`, `accept` and `waiting`. A response after the end changes nothing, as in
// adjustment.h.
AdjustmentState respond(const MatchAdjustmentSpec& spec, AdjustmentState state,
                        const TrialResponse& response);
// Returns the state itself.
AdjustmentState result(const MatchAdjustmentSpec& spec, const AdjustmentState& state);

}  // namespace isoseam
