#include "protocols/setup/level_gamut.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "protocols/language/axes.h"
#include "protocols/setup/gamut_advice.h"
#include "protocols/setup/gamut_reach.h"

namespace isoseam {
namespace {

constexpr double kDigits = 1000.0;  // A share is told with three digits, rounded towards what fits.

// A share of the largest number of a level. A number below it is the rounded cosine of a right angle, so it
// counts as 0.
constexpr double kRounding = 1e-12;

struct Asked {
    AskedLevel level;
    std::string what;  // "the level", "the bracket with its jitter"
};

// The level that goes furthest beyond what can be shown, and the condition where it does so.
struct Excess {
    std::size_t condition = 0;
    double share = 1.0;  // The share of the level that fits.
    Asked asked;
    AdjustmentProblem problem;
};

Eigen::VectorXd position_of(const Level& level) {
    return Eigen::Map<const Eigen::VectorXd>(level.data(), static_cast<Eigen::Index>(level.size()));
}

Asked bracket_of(const Protocol& protocol, const Block& block, const FlickerNullPlan& plan, double side) {
    const std::string key = block.key + "flicker_null.bracket";
    return {{{side * (plan.bracket + plan.jitter)}, key, protocol.place_of(key)}, "a start of"};
}

std::vector<Asked> asked_of(const Protocol& protocol, const Block& block) {
    std::vector<Asked> all;
    if (const auto* null = std::get_if<FlickerNullPlan>(&block.plan)) {
        all = {bracket_of(protocol, block, *null, +1.0), bracket_of(protocol, block, *null, -1.0)};
    } else if (const auto* task = std::get_if<TaskPlan>(&block.plan)) {
        for (const AskedLevel& level : task->asked)
            all.push_back({level, "the level"});
    }
    return all;
}

// The share of the level, rounded towards 0 to three digits.
Level rounded(const Level& level, double share) {
    Level made;
    for (const double value : level) {
        const double part = value * share;
        const double unit =
            part == 0.0 ? 1.0 : std::pow(10.0, std::floor(std::log10(std::abs(part)))) / kDigits * 10.0;
        made.push_back(std::trunc(part / unit) * unit);
    }
    return made;
}

Fault fault_of(const Setup& setup, const Excess& excess) {
    const Protocol& protocol = setup.protocol();
    const Condition& condition = protocol.conditions[excess.condition];
    const AdjustmentSpace space = excess.problem.space;
    const AskedLevel& level = excess.asked.level;
    const DriveSolution solution = stimulus_at(excess.problem, position_of(level.level));
    const int source = setup.source_of(protocol.adjusted);
    return {protocol.file,
            level.place.line,
            level.place.column,
            level.key,
            fmt::format("{} {} in condition '{}' is {}", excess.asked.what,
                        level_text(space, condition.axes, level.level), condition.name,
                        gamut_miss(solution, setup.solver(source), setup.source_name(source))),
            fmt::format("up to {} would fit there",
                        level_text(space, condition.axes, rounded(level.level, excess.share)))};
}

}  // namespace

std::string level_text(AdjustmentSpace space, const std::vector<AdjustmentAxis>& axes, const Level& level) {
    std::vector<std::string> numbers;
    const double largest = position_of(level).cwiseAbs().maxCoeff();
    for (std::size_t i = 0; i < level.size(); ++i) {
        const bool plain = is_plain_number(space, axes.at(i).name);
        const double value = std::abs(level[i]) <= kRounding * largest ? 0.0 : level[i];
        numbers.push_back(plain ? fmt::format("{:.4g}", value) : fmt::format("{:.4g} %", 100.0 * value));
    }
    return numbers.size() == 1 ? numbers.front() : fmt::format("({})", fmt::join(numbers, ", "));
}

void check_levels(const Setup& setup, FaultList& faults) {
    const Protocol& protocol = setup.protocol();
    const int bits = setup.solver(setup.reference_half()).display().calibration().bits;
    std::map<std::string, Excess> worst;  // by key
    for (std::size_t i = 0; i < protocol.conditions.size(); ++i) {
        const AdjustmentProblem problem = setup.adjustment(static_cast<int>(i), bits);
        for (const Asked& asked : asked_of(protocol, setup.block_of(static_cast<int>(i)))) {
            if (stimulus_at(problem, position_of(asked.level.level)).in_gamut)
                continue;
            const double share = std::min(gamut_reach(problem, position_of(asked.level.level)), 1.0);
            const auto [known, is_new] = worst.try_emplace(asked.level.key, Excess{i, share, asked, problem});
            if (!is_new && share < known->second.share)
                known->second = {i, share, asked, problem};
        }
    }
    for (const auto& [key, excess] : worst)
        faults.add(fault_of(setup, excess));
}

}  // namespace isoseam
