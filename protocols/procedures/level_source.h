#pragma once
// Where a task takes its levels from: any of the procedures that drive a level.

#include <cstdint>
#include <optional>
#include <variant>
#include <vector>

#include "protocols/procedures/bayesian_adaptive.h"
#include "protocols/procedures/constant_stimuli.h"
#include "protocols/procedures/staircase.h"

namespace isoseam {

using LevelSourceSpec = std::variant<StaircaseSpec, ConstantStimuliSpec, BayesianAdaptiveSpec>;
// The state and the result hold the same procedure as the spec that the run was started from.
using LevelSourceState = std::variant<StaircaseState, ConstantStimuliState, BayesianAdaptiveState>;
using LevelSourceResult = std::variant<StaircaseResult, ConstantStimuliResult, BayesianAdaptiveResult>;

std::vector<Fault> faults(const LevelSourceSpec& spec);
LevelSourceState start(const LevelSourceSpec& spec, std::uint64_t seed);
std::optional<LevelRequest> next_trial(const LevelSourceSpec& spec, const LevelSourceState& state);
// `success` must have a value, except for constant stimuli.
LevelSourceState respond(const LevelSourceSpec& spec, LevelSourceState state, std::optional<bool> success);
LevelSourceResult result(const LevelSourceSpec& spec, const LevelSourceState& state);

// Trials at a level that it asks for: at most, or an estimate where only reversals end a staircase.
int planned_trials(const LevelSourceSpec& spec);

bool needs_success(const LevelSourceSpec& spec);
// Of its levels; 0 where the spec names none.
int dimensions(const LevelSourceSpec& spec);

}  // namespace isoseam
