#pragma once
// Constant stimuli: a fixed list of levels on one to three dimensions, each shown equally often, in shuffled
// blocks.

#include <cstdint>
#include <optional>
#include <vector>

#include "protocols/procedures/trial.h"

namespace isoseam {

struct ConstantStimuliSpec {
    std::vector<Level> levels;  // at least one; of equally many dimensions, no two alike
    int repeats = 1;            // of each level in the run
    int repeats_in_block = 1;   // of each level in a block; divides repeats
};
std::vector<Fault> faults(const ConstantStimuliSpec& spec);

struct ConstantStimuliState {
    std::uint64_t seed = 0;
    int answered = 0;
    std::vector<int> order;      // of this block: indices into levels
    std::vector<int> trials;     // by level
    std::vector<int> judged;     // of them, those told as success or failure
    std::vector<int> successes;  // of the judged
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
// `success`: none where the answer is no success or failure (a rating).
ConstantStimuliState respond(const ConstantStimuliSpec& spec, ConstantStimuliState state,
                             std::optional<bool> success);
ConstantStimuliResult result(const ConstantStimuliSpec& spec, const ConstantStimuliState& state);

}  // namespace isoseam
