#pragma once
// Any of the procedures, so that a session, a rehearsal and a replay can treat all of them in the same way.
//
// A record need keep nothing but the seed and the responses, because replay() computes the state from them.

#include <cstdint>
#include <optional>
#include <span>
#include <variant>

#include "protocols/procedures/flicker_null.h"
#include "protocols/procedures/match_adjustment.h"
#include "protocols/procedures/task.h"

namespace isoseam {

using ProcedureSpec = std::variant<TaskSpec, FlickerNullSpec, MatchAdjustmentSpec>;
// The state and the result hold the same procedure as the spec that the run was started from.
using ProcedureState = std::variant<TaskState, FlickerNullState, AdjustmentState>;
using ProcedureResult = std::variant<TaskResult, FlickerNullResult, AdjustmentState>;

ProcedureState start(const ProcedureSpec& spec, std::uint64_t seed);
std::optional<TrialRequest> next_trial(const ProcedureSpec& spec, const ProcedureState& state);
ProcedureState respond(const ProcedureSpec& spec, ProcedureState state, const TrialResponse& response);
ProcedureResult result(const ProcedureSpec& spec, const ProcedureState& state);

ProcedureState replay(const ProcedureSpec& spec, std::uint64_t seed,
                      std::span<const TrialResponse> responses);

}  // namespace isoseam
