#pragma once
// The course of a session: which trial comes next, as a fold of what was answered. The course is pure: it
// follows from protocol, calibrations, seed, participant's code and responses alone. So a session that was
// interrupted continues after its course has been given the recorded responses again.
//
//     Course course(setup, depth, seed, "P07");
//     while (course.next())
//         course.respond(response_to(course.next()->request));

#include <Eigen/Core>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "protocols/course/run_order.h"
#include "protocols/language/protocol.h"
#include "protocols/procedures/procedure.h"
#include "protocols/setup/setup.h"

namespace isoseam {

struct CourseTrial {
    int number = 0;           // Its place in the session, from 1.
    int run = 0;              // The number of its run, from 1.
    int condition = 0;        // An index.
    int block = 0;            // An index.
    int repeat = 0;           // Counts the settings, or the runs of a task, of its condition.
    int before_in_block = 0;  // The number of trials of its block that came before it.
    bool block_begins = false;
    TrialRequest request;  // Its level is a position along the condition's axes.
};

struct EndedTrial {
    // The setting of an adjustment or of a flicker null, accepted or timed out.
    std::optional<AdjustmentState> setting;
    std::optional<AnsweredTrial> answer;  // The answer of a task.
    bool practice_over = false;           // This was the last practice trial, and measuring begins.
    bool practice_failed = false;         // The run ends without being measured.
};

// The start of a run of adjustments. A random start depends on the run's number. A bracketing start depends
// on its repeat, and its sides are drawn for each condition by itself.
AdjustmentState starting_point(const AdjustmentProblem& problem, const AdjustmentPlan& plan, const Run& run,
                               std::uint64_t seed);

class Course {
  public:
    // `setup` outlives the course. InputError as in run_order().
    Course(const Setup& setup, FrameDepth reference_depth, std::uint64_t seed,
           const std::string& participant);

    const std::vector<Run>& runs() const { return runs_; }
    // The next trial, or none when the session has come to its end. While a setting is under way, the
    // request's level is the position where it stands.
    const std::optional<CourseTrial>& next() const { return next_; }
    // The adjustment of the next trial's condition.
    const AdjustmentProblem& adjustment() const;
    // Takes a response in the form that next() asks for. How the trial ended, or none while a setting goes
    // on.
    std::optional<EndedTrial> respond(const TrialResponse& response);
    int trials_done() const { return trials_done_; }
    // The result of the last trial's run, if that trial ended the run.
    const std::optional<ProcedureResult>& ended_run() const { return ended_run_; }

  private:
    struct Active {
        ProcedureSpec spec;
        ProcedureState state;
    };
    Active begun(const Run& run) const;
    Active& active(const Run& run);
    std::vector<const Run*> candidates() const;
    bool practises(const Run& run) const;
    void choose_next();

    const Setup* setup_;
    std::uint64_t seed_;
    std::vector<AdjustmentProblem> adjustments_;  // By condition.
    std::vector<Run> runs_;
    std::vector<bool> ended_;  // By run.
    std::map<int, Active> active_;
    std::optional<CourseTrial> next_;
    std::optional<ProcedureResult> ended_run_;
    std::map<int, double> null_path_;  // The path length of the setting under way, by run.
    int trials_done_ = 0;
    int block_ = -1;
    int done_in_block_ = 0;
};

}  // namespace isoseam
