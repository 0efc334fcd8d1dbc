#pragma once
// A task: a question that is put to the observer at levels that another procedure drives. Practice may come
// first, and catch trials may be mixed in.

#include <cstdint>
#include <optional>
#include <variant>
#include <vector>

#include "protocols/procedures/forced_choice.h"
#include "protocols/procedures/level_source.h"
#include "protocols/procedures/rating.h"
#include "protocols/procedures/same_different.h"
#include "protocols/procedures/yes_no.h"

namespace isoseam {

using Question = std::variant<ForcedChoice, YesNo, SameDifferent, Rating>;

// Trials without a target, mixed among the others, also in practice. At most one of the two members has a
// value.
struct CatchTrials {
    // Each trial is a catch trial with this probability. Above 0, at most 0.5.
    std::optional<double> share;
    // Among each so many trials one is a catch trial. Its place among them is drawn. At least 2.
    std::optional<int> every;
};

// Trials before the measured ones. They drive no level. Practice is over once `right` of the last `of`
// answers that could be right or wrong were right.
struct Practice {
    std::vector<Level> levels;  // Practice goes through these in turn. They should be easy.
    int right = 1;
    int of = 1;
    // The largest number of practice trials. The run ends without measuring when they are not enough.
    int most = 20;
    bool feedback = true;
};

struct TaskSpec {
    Question question;
    LevelSourceSpec levels;
    Level no_target;  // The level of trials without a target. It is needed where there are such trials.
    CatchTrials catch_trials;
    std::optional<Practice> practice;
    bool feedback = false;  // Whether measured trials have feedback.
};
std::vector<Fault> faults(const TaskSpec& spec);
// How many answers the task takes at most if practice succeeds at once, practice and catch trials included.
// It is an estimate where only reversals end a staircase, or where catch trials are drawn by share.
int planned_trials(const TaskSpec& spec);

struct AnsweredTrial {
    TrialRequest request;
    TrialResponse response;
    Verdict verdict;
};

enum class TaskPhase { practice, measuring, done, practice_failed };

struct TaskState {
    std::uint64_t seed = 0;
    TaskPhase phase = TaskPhase::measuring;
    LevelSourceState levels;
    int posed = 0;  // The number of trials that are not catch trials, practice included.
    std::vector<AnsweredTrial> answered;
    std::optional<TrialRequest> next;
};

// How often each answer was given to one stimulus, practice left out.
struct AnswerCounts {
    Level level;
    int track = 0;
    bool target = true;
    // The counts of the answers, in this order. yes_no: no, yes. same_different: same, different. rating: one
    // count for each category. place: wrong, right. place without a target: one count for each place.
    std::vector<int> counts;
};

struct TaskResult {
    TaskPhase phase = TaskPhase::measuring;
    int practice_trials = 0;
    int measured_trials = 0;            // The number of measured trials, catch trials included.
    int catch_trials = 0;               // The number of catch trials among them.
    std::vector<AnswerCounts> answers;  // One for each stimulus, in the order of first appearance.
    LevelSourceResult levels;
};

TaskState start(const TaskSpec& spec, std::uint64_t seed);
std::optional<TrialRequest> next_trial(const TaskSpec& spec, const TaskState& state);
TaskState respond(const TaskSpec& spec, TaskState state, const TrialResponse& response);
TaskResult result(const TaskSpec& spec, const TaskState& state);

}  // namespace isoseam
