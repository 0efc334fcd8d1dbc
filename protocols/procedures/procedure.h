#pragma once
// Any procedure, so that a session, a rehearsal and a replay can fold all of them alike.
//
// Nothing but the seed and the responses need be kept: replay() is the state.

#include <cstdint>
#include <optional>
#include <span>
#include <variant>

#include "protocols/procedures/flicker_null.h"
#include "protocols/procedures/match_adjustment.h"
#include "protocols/procedures/task.h"

namespace isoseam {

using ProcedureSpec = std::variant<TaskSpec, FlickerNullSpec, MatchAdjustmentSpec>;
// Of the same alternative as the spec that it was started from.
using ProcedureState = std::variant<TaskState, FlickerNullState, AdjustmentState>;
using ProcedureResult = std::variant<TaskResult, FlickerNullResult, AdjustmentState>;

ProcedureState start(const ProcedureSpec& spec, std::uint64_t seed);
std::optional<TrialRequest> next_trial(const ProcedureSpec& spec, const ProcedureState& state);
ProcedureState respond(const ProcedureSpec& spec, ProcedureState state, const TrialResponse& response);
ProcedureResult result(const ProcedureSpec& spec, const ProcedureState& state);

ProcedureState replay(const ProcedureSpec& spec, std::uint64_t seed,
                      std::span<const TrialResponse> responses);

}  // namespace isoseam
