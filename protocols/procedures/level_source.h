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

// The largest number of trials that the spec asks for. It is an estimate where only reversals end a
// staircase.
int planned_trials(const LevelSourceSpec& spec);

// Whether respond() must be told if the observer succeeded.
bool needs_success(const LevelSourceSpec& spec);
// The number of dimensions of the levels. It is 0 where the spec names no level.
int dimensions(const LevelSourceSpec& spec);

}  // namespace isoseam
