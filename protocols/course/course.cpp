#include "protocols/course/course.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <utility>

#include "protocols/setup/gamut_reach.h"

namespace isoseam {
namespace {

Level level_of(const Eigen::VectorXd& position) {
    return {position.begin(), position.end()};
}

// A setting of a flicker null is an adjustment along one axis.
AdjustmentState as_adjustment(const NullSetting& setting, double path_length) {
    AdjustmentState state;
    state.position = Eigen::VectorXd::Constant(1, setting.level);
    state.start = Eigen::VectorXd::Constant(1, setting.start);
    state.fine_steps = {setting.fine_steps};
    state.coarse_steps = {setting.coarse_steps};
    state.path_length = {path_length};
    state.refused_steps = {setting.refused_steps};
    state.steps = setting.steps;
    state.accepted = setting.accepted;
    state.timed_out = setting.timed_out;
    return state;
}

FlickerNullSpec null_spec(const FlickerNullPlan& plan, const Condition& condition,
                          const AdjustmentProblem& problem) {
    const AdjustmentAxis& axis = condition.axes.front();
    FlickerNullSpec spec;
    spec.bracket = plan.bracket;
    spec.jitter = plan.jitter;
    spec.fine = axis.fine;
    spec.coarse = axis.coarse;
    spec.lowest = -gamut_reach(problem, Eigen::VectorXd::Constant(1, -1.0));
    spec.highest = gamut_reach(problem, Eigen::VectorXd::Constant(1, 1.0));
    spec.repeats = condition.repeats;
    spec.time_limit_s = plan.time_limit_s;
    return spec;
}

MatchAdjustmentSpec match_spec(const AdjustmentProblem& problem, const AdjustmentPlan& plan, const Run& run) {
    MatchAdjustmentSpec spec{problem, run.number, {}};
    if (plan.bracketing)
        spec.bracket = run.repeat;
    return spec;
}

}  // namespace

AdjustmentState starting_point(const AdjustmentProblem& problem, const AdjustmentPlan& plan, const Run& run,
                               std::uint64_t seed) {
    return start(match_spec(problem, plan, run), plan.bracketing ? run_seed(seed, run.condition) : seed);
}

Course::Course(const Setup& setup, FrameDepth reference_depth, std::uint64_t seed,
               const std::string& participant)
    : setup_(&setup),
      seed_(seed),
      runs_(run_order(setup.protocol(), seed, participant)),
      ended_(runs_.size()) {
    const int conditions = static_cast<int>(setup.protocol().conditions.size());
    for (int condition = 0; condition < conditions; ++condition)
        adjustments_.push_back(setup.adjustment(condition, reference_depth));
    choose_next();
}

const AdjustmentProblem& Course::adjustment() const {
    ISOSEAM_CHECK(next_.has_value(), "the session has ended");
    return adjustments_[static_cast<std::size_t>(next_->condition)];
}

Course::Active Course::begun(const Run& run) const {
    const Block& block = setup_->block_of(run.condition);
    const AdjustmentProblem& problem = adjustments_[static_cast<std::size_t>(run.condition)];
    const Condition& condition = setup_->protocol().condition(run.condition);
    if (const auto* adjustment = std::get_if<AdjustmentPlan>(&block.plan)) {
        return {match_spec(problem, *adjustment, run), starting_point(problem, *adjustment, run, seed_)};
    }
    if (const auto* null = std::get_if<FlickerNullPlan>(&block.plan)) {
        FlickerNullSpec spec = null_spec(*null, condition, problem);
        FlickerNullState state = start(spec, run_seed(seed_, run.number));
        return {spec, std::move(state)};
    }
    const TaskSpec& spec = std::get<TaskPlan>(block.plan).spec;
    return {spec, start(spec, run_seed(seed_, run.number))};
}

Course::Active& Course::active(const Run& run) {
    const auto found = active_.find(run.number);
    return found != active_.end() ? found->second : active_.emplace(run.number, begun(run)).first->second;
}

// The runs that the next trial may belong to. In an interleaved block these are the runs that have not ended
// or, while some of them are still in practice, only those. In any other block it is the first run that has
// not ended.
std::vector<const Run*> Course::candidates() const {
    std::vector<const Run*> left;
    for (std::size_t i = 0; i < runs_.size(); ++i) {
        if (ended_[i])
            continue;
        if (!left.empty() && runs_[i].block != left.front()->block)
            break;
        left.push_back(&runs_[i]);
        const auto* task = std::get_if<TaskPlan>(&setup_->protocol().block(runs_[i].block).plan);
        if (task == nullptr || !task->interleaved)
            break;
    }
    std::vector<const Run*> practising;
    std::copy_if(left.begin(), left.end(), std::back_inserter(practising),
                 [this](const Run* run) { return practises(*run); });
    return practising.empty() ? left : practising;
}

bool Course::practises(const Run& run) const {
    const auto* task = std::get_if<TaskPlan>(&setup_->protocol().block(run.block).plan);
    const auto begun_already = active_.find(run.number);
    if (task == nullptr || begun_already == active_.end())
        return task != nullptr && task->spec.practice.has_value();
    return std::get<TaskState>(begun_already->second.state).phase == TaskPhase::practice;
}

void Course::choose_next() {
    next_.reset();
    const std::vector<const Run*> left = candidates();
    if (left.empty())
        return;
    const int number = trials_done_ + 1;
    const Run& run = *left[RandomStream{seed_, kStreamInterleaving}.below(static_cast<std::uint64_t>(number),
                                                                          left.size())];
    const Active& procedure = active(run);
    const std::optional<TrialRequest> request = next_trial(procedure.spec, procedure.state);
    ISOSEAM_CHECK(request.has_value(), "a run without a trial");
    CourseTrial trial;
    trial.number = number;
    trial.run = run.number;
    trial.condition = run.condition;
    trial.block = run.block;
    trial.repeat = std::holds_alternative<FlickerNullSpec>(procedure.spec) ? request->number : run.repeat;
    trial.block_begins = run.block != block_;
    if (trial.block_begins) {
        block_ = run.block;
        done_in_block_ = 0;
    }
    trial.before_in_block = done_in_block_;
    trial.request = *request;
    next_ = std::move(trial);
}

std::optional<EndedTrial> Course::respond(const TrialResponse& response) {
    ISOSEAM_CHECK(next_.has_value(), "the session has ended");
    const Run& run = runs_[static_cast<std::size_t>(next_->run - 1)];
    Active& procedure = active(run);
    const TrialRequest before = next_->request;
    procedure.state = isoseam::respond(procedure.spec, std::move(procedure.state), response);
    EndedTrial ended;
    if (const auto* match = std::get_if<AdjustmentState>(&procedure.state)) {
        if (!match->accepted && !match->timed_out) {
            next_->request.level = level_of(match->position);
            return std::nullopt;
        }
        ended.setting = *match;
    } else if (const auto* null = std::get_if<FlickerNullState>(&procedure.state)) {
        const NullSetting& setting = null->settings[static_cast<std::size_t>(before.number - 1)];
        double& path = null_path_[run.number];
        path += std::abs(setting.level - before.level.front());
        if (!setting.accepted && !setting.timed_out) {
            next_->request.level = {setting.level};
            return std::nullopt;
        }
        ended.setting = as_adjustment(setting, std::exchange(path, 0.0));
    } else {
        const auto& task = std::get<TaskState>(procedure.state);
        ended.answer = task.answered.back();
        ended.practice_failed = task.phase == TaskPhase::practice_failed;
    }
    ++trials_done_;
    ++done_in_block_;
    ended_run_.reset();
    if (!next_trial(procedure.spec, procedure.state)) {
        ended_run_ = result(procedure.spec, procedure.state);
        ended_[static_cast<std::size_t>(run.number - 1)] = true;
        active_.erase(run.number);
    }
    choose_next();
    ended.practice_over = before.practice && next_ && next_->block == run.block && !next_->request.practice;
    return ended;
}

}  // namespace isoseam
