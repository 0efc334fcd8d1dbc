#include "protocols/procedures/level_source.h"

#include <algorithm>
#include <type_traits>
#include <utility>

namespace isoseam {
namespace {

// The state that belongs to a spec: StaircaseState to StaircaseSpec, and so on.
template <typename Spec>
using StateOf = std::remove_cvref_t<decltype(start(std::declval<const Spec&>(), std::uint64_t{}))>;

// The estimate by reversals assumes that a track takes about `down` + `up` answers from one reversal to the
// next, and also from its start to its first reversal.
int trials_of(const StaircaseSpec& spec) {
    const int tracks = static_cast<int>(spec.tracks.size());
    const int by_reversals = spec.reversals ? (*spec.reversals + 1) * (spec.down + spec.up) : 0;
    if (spec.trials && spec.reversals)
        return tracks * std::min(*spec.trials, by_reversals);
    return tracks * spec.trials.value_or(by_reversals);
}

int trials_of(const ConstantStimuliSpec& spec) {
    return static_cast<int>(spec.levels.size()) * spec.repeats;
}

int trials_of(const BayesianAdaptiveSpec& spec) {
    return spec.trials;
}

int dimensions_of(const std::vector<Level>& levels) {
    return levels.empty() ? 0 : static_cast<int>(levels.front().size());
}

}  // namespace

std::vector<Fault> faults(const LevelSourceSpec& spec) {
    return std::visit([](const auto& one) { return faults(one); }, spec);
}

LevelSourceState start(const LevelSourceSpec& spec, std::uint64_t seed) {
    return std::visit([&](const auto& one) -> LevelSourceState { return start(one, seed); }, spec);
}

std::optional<LevelRequest> next_trial(const LevelSourceSpec& spec, const LevelSourceState& state) {
    return std::visit(
        [&]<typename Spec>(const Spec& one) { return next_trial(one, std::get<StateOf<Spec>>(state)); },
        spec);
}

LevelSourceState respond(const LevelSourceSpec& spec, LevelSourceState state, std::optional<bool> success) {
    ISOSEAM_CHECK(success || !needs_success(spec), "the level depends on success");
    return std::visit(
        [&]<typename Spec>(const Spec& one) -> LevelSourceState {
            auto& before = std::get<StateOf<Spec>>(state);
            if constexpr (std::is_same_v<Spec, ConstantStimuliSpec>)
                return respond(one, std::move(before), success);
            else
                return respond(one, std::move(before), *success);
        },
        spec);
}

LevelSourceResult result(const LevelSourceSpec& spec, const LevelSourceState& state) {
    return std::visit(
        [&]<typename Spec>(const Spec& one) -> LevelSourceResult {
            return result(one, std::get<StateOf<Spec>>(state));
        },
        spec);
}

int planned_trials(const LevelSourceSpec& spec) {
    return std::visit([](const auto& one) { return trials_of(one); }, spec);
}

bool needs_success(const LevelSourceSpec& spec) {
    return !std::holds_alternative<ConstantStimuliSpec>(spec);
}

int dimensions(const LevelSourceSpec& spec) {
    if (const auto* constant = std::get_if<ConstantStimuliSpec>(&spec))
        return dimensions_of(constant->levels);
    if (const auto* bayesian = std::get_if<BayesianAdaptiveSpec>(&spec))
        return dimensions_of(bayesian->levels);
    return 1;
}

}  // namespace isoseam
