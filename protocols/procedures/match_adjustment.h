#pragma once
// One setting by the method of adjustment (adjustment.h) in the vocabulary of trial.h. The level asked for is
// the position, one number per axis.

#include <cstdint>
#include <optional>

#include "protocols/procedures/adjustment.h"
#include "protocols/procedures/trial.h"

namespace isoseam {

struct MatchAdjustmentSpec {
    AdjustmentProblem problem;
    int trial = 1;               // in the session: counter of a random starting point
    std::optional<int> bracket;  // repeat, from 1: then the starting point brackets the predicted match
};

// `seed` is the session's, so that starting points are those of start_adjustment on kStreamStartingPoints.
// Sides of bracketing are drawn on kStreamFirstSide.
AdjustmentState start(const MatchAdjustmentSpec& spec, std::uint64_t seed);
std::optional<TrialRequest> next_trial(const MatchAdjustmentSpec& spec, const AdjustmentState& state);
// Takes step, accept and waiting. After the end: no change, as in adjustment.h.
AdjustmentState respond(const MatchAdjustmentSpec& spec, AdjustmentState state,
                        const TrialResponse& response);
AdjustmentState result(const MatchAdjustmentSpec& spec, const AdjustmentState& state);  // the state itself

}  // namespace isoseam
