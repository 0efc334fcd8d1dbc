#include "protocols/procedures/constant_stimuli.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/random.h"

namespace isoseam {
namespace {

int count_of(const std::vector<Level>& levels) {
    return static_cast<int>(levels.size());
}

int trials_in_block(const ConstantStimuliSpec& spec) {
    return count_of(spec.levels) * spec.repeats_in_block;
}

int trials_of_run(const ConstantStimuliSpec& spec) {
    return count_of(spec.levels) * spec.repeats;
}

std::vector<int> order_of_block(const ConstantStimuliSpec& spec, std::uint64_t seed, int block) {
    // The permutation of each block has its own seed.
    const RandomStream blocks{seed, kStreamLevelOrder};
    std::vector<int> order = shuffled_order(
        {blocks.bits(static_cast<std::uint64_t>(block)), kStreamLevelOrder}, trials_in_block(spec));
    for (int& entry : order)
        entry %= count_of(spec.levels);
    return order;
}

std::size_t level_now(const ConstantStimuliSpec& spec, const ConstantStimuliState& state) {
    return static_cast<std::size_t>(
        state.order[static_cast<std::size_t>(state.answered % trials_in_block(spec))]);
}

}  // namespace

std::vector<Fault> faults(const ConstantStimuliSpec& spec) {
    SpecFaults found;
    found.require(!spec.levels.empty(), "levels", "there is no level", "write at least one");
    for (std::size_t i = 0; i < spec.levels.size(); ++i) {
        const std::string key = fmt::format("levels[{}]", i);
        found.require(is_level(spec.levels[i]) && spec.levels[i].size() == spec.levels.front().size(), key,
                      "not one to three finite numbers, as many as in the first level",
                      "give every level the same dimensions");
        const auto first = std::find(spec.levels.begin(), spec.levels.end(), spec.levels[i]);
        found.require(first >= spec.levels.begin() + static_cast<std::ptrdiff_t>(i), key,
                      fmt::format("the same as level {}", first - spec.levels.begin() + 1),
                      "write each level once, and `repeats` for how often it is shown");
    }
    found.require(spec.repeats >= 1, "repeats", fmt::format("{} repeats", spec.repeats), "write at least 1");
    found.require(spec.repeats_in_block >= 1 && spec.repeats % std::max(1, spec.repeats_in_block) == 0,
                  "repeats_in_block",
                  fmt::format("{} repeats do not make blocks of {}", spec.repeats, spec.repeats_in_block),
                  "write a divisor of repeats");
    return found.all();
}

ConstantStimuliState start(const ConstantStimuliSpec& spec, std::uint64_t seed) {
    throw_if_any(faults(spec));
    ConstantStimuliState state;
    state.seed = seed;
    state.order = order_of_block(spec, seed, 0);
    state.trials.assign(spec.levels.size(), 0);
    state.judged = state.successes = state.trials;
    return state;
}

std::optional<LevelRequest> next_trial(const ConstantStimuliSpec& spec, const ConstantStimuliState& state) {
    if (state.answered == trials_of_run(spec))
        return std::nullopt;
    return LevelRequest{spec.levels[level_now(spec, state)], 0};
}

ConstantStimuliState respond(const ConstantStimuliSpec& spec, ConstantStimuliState state,
                             std::optional<bool> success) {
    ISOSEAM_CHECK(state.answered < trials_of_run(spec), "all levels have been shown");
    const std::size_t level = level_now(spec, state);
    ++state.trials[level];
    state.judged[level] += success ? 1 : 0;
    state.successes[level] += success.value_or(false) ? 1 : 0;
    ++state.answered;
    if (state.answered % trials_in_block(spec) == 0)
        state.order = order_of_block(spec, state.seed, state.answered / trials_in_block(spec));
    return state;
}

ConstantStimuliResult result(const ConstantStimuliSpec& spec, const ConstantStimuliState& state) {
    ConstantStimuliResult made;
    for (std::size_t i = 0; i < spec.levels.size(); ++i)
        made.rows.push_back({spec.levels[i], state.trials[i], state.judged[i], state.successes[i]});
    return made;
}

}  // namespace isoseam
