#pragma once
// The course of a session: which trial comes next, as a fold of what was answered. Pure: it follows from
// protocol, calibrations, seed, participant's code and responses alone, so a session that was interrupted is
// gone on with by giving its course the recorded responses again.

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
    int number = 0;           // 1 .. in the session, in the order shown
    int run = 0;              // number of the run, 1 ..
    int condition = 0;        // index
    int block = 0;            // index
    int repeat = 0;           // of the condition: of the setting, or of the run of a task
    int before_in_block = 0;  // trials of this block that came before it
    bool block_begins = false;
    TrialRequest request;  // its level is a position along the condition's axes
};

struct EndedTrial {
    // The setting of an adjustment or of a flicker null, accepted or timed out.
    std::optional<AdjustmentState> setting;
    std::optional<AnsweredTrial> answer;  // The answer of a task.
    bool practice_over = false;           // This was the last practice trial, and measuring begins
    bool practice_failed = false;         // the run ends unmeasured
};

// The start of a run of adjustments: at random by the run's number, or bracketing by its repeat, from sides
// that are drawn for each condition by itself.
AdjustmentState starting_point(const AdjustmentProblem& problem, const AdjustmentPlan& plan, const Run& run,
                               std::uint64_t seed);

class Course {
  public:
    // `setup` outlives it. InputError as run_order().
    Course(const Setup& setup, FrameDepth reference_depth, std::uint64_t seed,
           const std::string& participant);

    const std::vector<Run>& runs() const { return runs_; }
    // None when the session has come to its end. While a setting is under way, the request's level is where
    // it stands.
    const std::optional<CourseTrial>& next() const { return next_; }
    // Of the next trial's condition.
    const AdjustmentProblem& adjustment() const;
    // In the form that next() asks for. Nothing while a setting goes on.
    std::optional<EndedTrial> respond(const TrialResponse& response);
    int trials_done() const { return trials_done_; }
    // Of the run of the last trial, once it has ended.
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
    std::vector<AdjustmentProblem> problems_;  // by condition
    std::vector<Run> runs_;
    std::vector<bool> ended_;  // by run
    std::map<int, Active> active_;
    std::optional<CourseTrial> next_;
    std::optional<ProcedureResult> ended_run_;
    std::map<int, double> null_path_;  // way of the setting under way, by run
    int trials_done_ = 0;
    int block_ = -1;
    int done_in_block_ = 0;
};

}  // namespace isoseam
