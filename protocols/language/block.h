#pragma once
// A stretch of a protocol with one procedure: what is asked in it, and in which order.
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "protocols/language/file_place.h"
#include "protocols/language/participant_words.h"
#include "protocols/procedures/adjustment.h"
#include "protocols/procedures/task.h"

namespace isoseam {

enum class TrialOrder {
    shuffled,         // all repeats of all conditions as a whole
    listed,           // condition by condition
    rounds,           // each condition once, in a new order each time
    latin_square,     // condition by condition: over as many participants as there are conditions each stands
                      // once in each place
    counterbalanced,  // the same, and each follows each other one equally often
};

struct AdjustmentPlan {
    bool bracketing = false;  // starting points; else at random
    std::optional<double> time_limit_s{};
};

// Settings of least flicker, from above and below in turn, on one axis; `repeats` of a condition are its
// settings, an even number.
struct FlickerNullPlan {
    double bracket = 0.0;
    double jitter = 0.0;
    std::optional<double> time_limit_s{};
};

// A level that a task can ask for, and where in the file that is written.
struct AskedLevel {
    Level level;
    std::string key;  // path
    Place place;
};

struct TaskPlan {
    TaskSpec spec;             // levels along the condition's axes; 0 is the predicted match
    double wait_s = 0.0;       // of the empty field before each trial
    double shown_s = 0.0;      // of the target; 0: until the answer
    double onset_s = 0.0;      // over which it rises and falls (raised cosine), inside shown_s
    double between_s = 0.0;    // of the empty field between two intervals
    bool interleaved = false;  // trials of all runs of the block come mixed
    std::vector<AskedLevel>
        asked{};  // all levels that it can ask for; of a staircase, the ends of its tracks
};

struct Block {
    std::string name;                    // "" where the protocol is one block
    std::vector<InstructionPage> pages;  // before it
    AdjustmentSpace space = AdjustmentSpace::cone_contrast;
    std::variant<AdjustmentPlan, FlickerNullPlan, TaskPlan> plan;
    TrialOrder order = TrialOrder::shuffled;
    int rest_every = 0;               // trials between rests; 0: none
    double seconds_per_trial = 20.0;  // for the expected duration
    std::string key;                  // its path in the file: "" or "blocks[1]."
};

}  // namespace isoseam
