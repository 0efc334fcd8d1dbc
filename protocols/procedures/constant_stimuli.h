#pragma once
// The method of constant stimuli: a fixed list of levels on one to three dimensions. Each level is shown
// equally often, and the trials come in shuffled blocks.

#include <cstdint>
#include <optional>
#include <vector>

#include "protocols/procedures/trial.h"

namespace isoseam {

struct ConstantStimuliSpec {
    std::vector<Level> levels;  // At least one. All have equally many dimensions, and no two are alike.
    int repeats = 1;            // How often each level comes in the run.
    int repeats_in_block = 1;   // How often each level comes in a block. A divisor of `repeats`.
};
std::vector<Fault> faults(const ConstantStimuliSpec& spec);

struct ConstantStimuliState {
    std::uint64_t seed = 0;
    int answered = 0;
    std::vector<int> order;  // The order of this block, as indices into the levels.
    // For each level: all trials, those of them that were judged a success or a failure, and the successes.
    std::vector<int> trials;
    std::vector<int> judged;
    std::vector<int> successes;
};

struct ConstantStimuliResult {
    struct Row {
        Level level;
        int trials = 0;
        int judged = 0;
        int successes = 0;
    };
    std::vector<Row> rows;  // in the order of levels
};

ConstantStimuliState start(const ConstantStimuliSpec& spec, std::uint64_t seed);
std::optional<LevelRequest> next_trial(const ConstantStimuliSpec& spec, const ConstantStimuliState& state);
// `success` has no value where the answer is neither a success nor a failure (a rating).
ConstantStimuliState respond(const ConstantStimuliSpec& spec, ConstantStimuliState state,
                             std::optional<bool> success);
ConstantStimuliResult result(const ConstantStimuliSpec& spec, const ConstantStimuliState& state);

}  // namespace isoseam
