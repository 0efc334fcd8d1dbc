#include "protocols/language/durations.h"

#include <algorithm>
#include <variant>

namespace isoseam {
namespace {

int trials_of(const Condition& condition, const Block& block) {
    const auto* task = std::get_if<TaskPlan>(&block.plan);
    return condition.repeats * (task == nullptr ? 1 : planned_trials(task->spec));
}

}  // namespace

int planned_trials(const Protocol& protocol, int block) {
    int trials = 0;
    for (const Condition& condition : protocol.conditions) {
        if (condition.block == block)
            trials += trials_of(condition, protocol.block(block));
    }
    return trials;
}

int planned_trials(const Protocol& protocol) {
    int trials = 0;
    for (int block = 0; block < static_cast<int>(protocol.blocks.size()); ++block)
        trials += planned_trials(protocol, block);
    return trials;
}

double expected_duration_s(const Protocol& protocol, int block) {
    const Block& planned = protocol.block(block);
    const int trials = planned_trials(protocol, block);
    const int after_first = std::max(trials - 1, 0);
    const int rests = planned.rest_every > 0 ? after_first / planned.rest_every : 0;
    const double top_up_s = std::holds_alternative<TaskPlan>(planned.plan) ? 0.0 : protocol.top_up_s;
    return static_cast<double>(planned.pages.size()) * kSecondsPerPage + (1 + rests) * protocol.adaptation_s +
           (after_first - rests) * top_up_s + trials * planned.seconds_per_trial + rests * kSecondsPerRest;
}

double expected_duration_s(const Protocol& protocol) {
    const std::size_t pages = protocol.pages.size() + (protocol.consent ? 1 : 0) +
                              protocol.exclusions.size() + (protocol.flicker ? 1 : 0) +
                              protocol.questions_before.size() + protocol.questions_after.size();
    double seconds = static_cast<double>(pages) * kSecondsPerPage;
    for (int block = 0; block < static_cast<int>(protocol.blocks.size()); ++block)
        seconds += expected_duration_s(protocol, block);
    return seconds;
}

}  // namespace isoseam
