#include "protocols/course/start_reach.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/yaml_reader.h"

namespace isoseam {
namespace {

// A step that brings one axis nearer to 0. If `coarse` is true, the step is a coarse one as long as that does
// not pass 0.
AdjustmentResponse step_towards_match(const AdjustmentProblem& problem, const AdjustmentState& state,
                                      int axis, bool coarse) {
    return {.kind = AdjustmentResponse::Kind::step,
            .axis = axis,
            .direction = state.position[axis] > 0.0 ? -1 : +1,
            .coarse = coarse &&
                      std::abs(state.position[axis]) >= problem.axes[static_cast<std::size_t>(axis)].coarse};
}

bool is_near(const AdjustmentProblem& problem, const AdjustmentState& state, int axis) {
    constexpr double kHalf = 0.5 + 1e-9;
    return std::abs(state.position[axis]) <= kHalf * problem.axes[static_cast<std::size_t>(axis)].fine;
}

// Among the steps that one press can take towards the match, this is the one that ends farthest inside the
// gamut.
std::optional<AdjustmentState> best_step(const AdjustmentProblem& problem, const AdjustmentState& state) {
    std::optional<AdjustmentState> best;
    double best_margin = 0.0;
    for (int axis = 0; axis < static_cast<int>(problem.axes.size()); ++axis) {
        for (const bool coarse : {true, false}) {
            if (is_near(problem, state, axis))
                continue;
            AdjustmentState next = respond(problem, state, step_towards_match(problem, state, axis, coarse));
            const double margin = stimulus_at(problem, next.position).gamut_margin;
            if (next.steps == state.steps || (best && !(margin > best_margin)))
                continue;
            best_margin = margin;
            best = std::move(next);
        }
    }
    return best;
}

}  // namespace

bool leads_to_match(const AdjustmentProblem& problem, AdjustmentState state) {
    while (std::optional<AdjustmentState> next = best_step(problem, state))
        state = *std::move(next);
    for (int axis = 0; axis < static_cast<int>(problem.axes.size()); ++axis) {
        if (!is_near(problem, state, axis))
            return false;
    }
    return true;
}

double dead_end_share(const AdjustmentProblem& problem, const AdjustmentPlan& plan, int draws) {
    constexpr std::size_t kMostBracketingAxes = 10;  // They have 2^10 combinations of sides.
    const int count = plan.bracketing ? 1 << std::min(problem.axes.size(), kMostBracketingAxes) : draws;
    int dead_ends = 0;
    for (int i = 1; i <= count; ++i)
        dead_ends += leads_to_match(problem, starting_point(problem, plan, {i, 0, 0, i}, 0)) ? 0 : 1;
    return static_cast<double>(dead_ends) / count;
}

void check_starts(const Setup& setup, FrameDepth reference_depth, std::uint64_t seed,
                  const std::string& participant) {
    const Protocol& protocol = setup.protocol();
    FaultList faults(protocol.file);
    for (const Run& run : run_order(protocol, seed, participant)) {
        const auto* plan = std::get_if<AdjustmentPlan>(&setup.block_of(run.condition).plan);
        if (plan == nullptr)
            continue;
        const AdjustmentProblem problem = setup.adjustment(run.condition, reference_depth);
        if (leads_to_match(problem, starting_point(problem, *plan, run, seed)))
            continue;
        const Condition& condition = protocol.condition(run.condition);
        faults.add(
            {protocol.file, condition.line, condition.column, "start",
             fmt::format("repeat {} of condition '{}' starts where no step inside the gamut leads to the "
                         "match (seed {})",
                         run.repeat, condition.name, seed),
             "choose a smaller start, smaller fine steps, or a reference nearer to the middle of the "
             "gamut"});
    }
    faults.throw_if_any();
}

}  // namespace isoseam
