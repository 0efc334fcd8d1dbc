#include "protocols/checks/plan.h"

#include <algorithm>
#include <map>

#include "protocols/course/course.h"

namespace isoseam {
namespace {

Level level_of(const Eigen::VectorXd& position) {
    return {position.begin(), position.end()};
}

// The starting points of settings depend neither on the limits of the level nor on the answers.
std::vector<Level> starts_of(const FlickerNullPlan& plan, const Condition& condition, std::uint64_t seed) {
    FlickerNullSpec spec;
    spec.bracket = plan.bracket;
    spec.jitter = plan.jitter;
    spec.fine = condition.axes.front().fine;
    spec.coarse = condition.axes.front().coarse;
    spec.highest = plan.bracket + plan.jitter;
    spec.lowest = -spec.highest;
    spec.repeats = condition.repeats;
    std::vector<Level> starts;
    FlickerNullState state = start(spec, seed);
    while (const auto request = next_trial(spec, state)) {
        starts.push_back(request->level);
        TrialResponse accept;
        accept.kind = TrialResponse::Kind::accept;
        state = respond(spec, std::move(state), accept);
    }
    return starts;
}

std::vector<Level> levels_of(const ConstantStimuliSpec& spec, std::uint64_t seed) {
    std::vector<Level> levels;
    ConstantStimuliState state = start(spec, seed);
    while (const auto request = next_trial(spec, state)) {
        levels.push_back(request->level);
        state = respond(spec, std::move(state), false);
    }
    return levels;
}

std::vector<Level> levels_of(const StaircaseSpec& spec, std::uint64_t) {
    std::vector<Level> levels;
    for (const StaircaseTrack& track : spec.tracks)
        levels.push_back({track.start});
    return levels;
}

// The first level depends only on the grid.
std::vector<Level> levels_of(const BayesianAdaptiveSpec& spec, std::uint64_t seed) {
    return {next_trial(spec, start(spec, seed))->level};
}

PlannedRun planned(const Setup& setup, const Run& run, std::uint64_t seed,
                   std::map<int, std::vector<Level>>& first_of_block) {
    const Block& block = setup.block_of(run.condition);
    const Condition& condition = setup.protocol().condition(run.condition);
    if (const auto* adjustment = std::get_if<AdjustmentPlan>(&block.plan)) {
        const int bits = setup.solver(setup.reference_half()).display().calibration().bits;
        const AdjustmentProblem problem = setup.adjustment(run.condition, {bits, DitherKind::ordered});
        return {run, {level_of(starting_point(problem, *adjustment, run, seed).position)}, true};
    }
    if (const auto* null = std::get_if<FlickerNullPlan>(&block.plan))
        return {run, starts_of(*null, condition, run_seed(seed, run.number)), true};
    const LevelSourceSpec& source = std::get<TaskPlan>(block.plan).spec.levels;
    const auto levels = [&] {
        return std::visit([&](const auto& spec) { return levels_of(spec, run_seed(seed, run.number)); },
                          source);
    };
    if (!std::holds_alternative<BayesianAdaptiveSpec>(source))
        return {run, levels(), std::holds_alternative<ConstantStimuliSpec>(source)};
    auto first = first_of_block.find(run.block);
    if (first == first_of_block.end())
        first = first_of_block.emplace(run.block, levels()).first;
    return {run, first->second, false};
}

}  // namespace

ProtocolPlan plan_session(const Setup& setup, std::uint64_t seed, const std::string& participant) {
    ProtocolPlan plan;
    std::map<int, std::vector<Level>> first_of_block;
    for (const Run& run : run_order(setup.protocol(), seed, participant)) {
        if (std::find(plan.blocks.begin(), plan.blocks.end(), run.block) == plan.blocks.end())
            plan.blocks.push_back(run.block);
        plan.runs.push_back(planned(setup, run, seed, first_of_block));
    }
    return plan;
}

}  // namespace isoseam
