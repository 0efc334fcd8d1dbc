#pragma once
// A task: a question put to the observer at levels that another procedure drives, after practice, among catch
// trials.

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

// Trials without a target among the others, practice included. At most one of them.
struct CatchTrials {
    std::optional<double> share;  // each trial is one with this probability; above 0, at most 0.5
    std::optional<int> every;     // one of each so many trials, at a drawn place among them; at least 2
};

// Trials before the measured ones. They drive no level. Practice is over once `right` of the last `of`
// answers that could be right or wrong were right.
struct Practice {
    std::vector<Level> levels;  // in turn; as a rule easy ones
    int right = 1;
    int of = 1;
    int most = 20;  // trials; the run ends without measuring when they do not suffice
    bool feedback = true;
};

struct TaskSpec {
    Question question;
    LevelSourceSpec levels;
    Level no_target;  // the level of trials without a target; needed where there are any
    CatchTrials catch_trials;
    std::optional<Practice> practice;
    bool feedback = false;  // in measured trials
};
std::vector<Fault> faults(const TaskSpec& spec);
// How many answers it takes, practice and catch trials included: at most, where practice succeeds at once; an
// estimate where only reversals end a staircase, or catch trials are drawn by share.
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
    int posed = 0;  // trials that are not catch trials, practice included
    std::vector<AnsweredTrial> answered;
    std::optional<TrialRequest> next;
};

// How often each answer was given to one stimulus, practice left out.
struct AnswerCounts {
    Level level;
    int track = 0;
    bool target = true;
    // yes_no: no, yes. same_different: same, different. rating: by category. place: wrong, right; without a
    // target by place.
    std::vector<int> counts;
};

struct TaskResult {
    TaskPhase phase = TaskPhase::measuring;
    int practice_trials = 0;
    int measured_trials = 0;            // catch trials included
    int catch_trials = 0;               // measured ones
    std::vector<AnswerCounts> answers;  // in the order of first appearance
    LevelSourceResult levels;
};

TaskState start(const TaskSpec& spec, std::uint64_t seed);
std::optional<TrialRequest> next_trial(const TaskSpec& spec, const TaskState& state);
TaskState respond(const TaskSpec& spec, TaskState state, const TrialResponse& response);
TaskResult result(const TaskSpec& spec, const TaskState& state);

}  // namespace isoseam
