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
    shuffled,  // All repeats of all conditions are shuffled as a whole.
    listed,    // The conditions come one after the other.
    rounds,    // Each condition comes once, in a new order each time.
    // The conditions come one after the other. Over as many participants as there are conditions each
    // condition stands once in each place.
    latin_square,
    counterbalanced,  // A Latin square in which each condition also follows each other one equally often.
};

struct AdjustmentPlan {
    bool bracketing = false;  // Whether starting points bracket the match. Otherwise they are random.
    std::optional<double> time_limit_s{};
};

// Settings of least flicker on one axis, from above and below in turn. The `repeats` of a condition are its
// settings, and their number is even.
struct FlickerNullPlan {
    double bracket = 0.0;
    double jitter = 0.0;
    std::optional<double> time_limit_s{};
};

// A level that a task can ask for, and where in the file that is written.
struct AskedLevel {
    Level level;
    std::string key;  // Its path in the file.
    Place place;
};

struct TaskPlan {
    TaskSpec spec;             // Levels lie along the condition's axes. 0 is the predicted match.
    double wait_s = 0.0;       // How long the empty field shows before each trial.
    double shown_s = 0.0;      // How long the target shows. 0: until the answer.
    double onset_s = 0.0;      // How long the target rises, and falls, by a raised cosine within shown_s.
    double between_s = 0.0;    // How long the empty field shows between two intervals.
    bool interleaved = false;  // Whether the trials of all runs of the block come mixed.
    // All levels that the task can ask for. For a staircase these are the ends of its tracks.
    std::vector<AskedLevel> asked{};
};

struct Block {
    std::string name;                    // "" where the protocol is one block.
    std::vector<InstructionPage> pages;  // Shown before the block.
    AdjustmentSpace space = AdjustmentSpace::cone_contrast;
    std::variant<AdjustmentPlan, FlickerNullPlan, TaskPlan> plan;
    TrialOrder order = TrialOrder::shuffled;
    int rest_every = 0;               // The number of trials between rests. 0: no rests.
    double seconds_per_trial = 20.0;  // For the expected duration.
    std::string key;                  // Its path in the file: "" or "blocks[1].".
};

}  // namespace isoseam
