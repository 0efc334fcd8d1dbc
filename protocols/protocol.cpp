#include "protocols/protocol.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

namespace isoseam {
namespace {

// CIE 170-1:2006 gives observers for these.
constexpr double kLeastAgeYears = 20.0;
constexpr double kMostAgeYears = 80.0;

int trials_of(const Condition& condition, const Block& block) {
    const auto* task = std::get_if<TaskPlan>(&block.plan);
    return condition.repeats * (task == nullptr ? 1 : planned_trials(task->spec));
}

}  // namespace

void set_age(Protocol& protocol, double age_years) {
    if (!protocol.age_from_session) {
        throw InputError(Fault{"", 0, 0, "--age",
                               fmt::format("the protocol {} names the observer's age itself", protocol.file),
                               "leave --age out, or write 'age: session' in the protocol"});
    }
    if (!(age_years >= kLeastAgeYears && age_years <= kMostAgeYears)) {
        throw InputError(Fault{"", 0, 0, "--age", fmt::format("{:g} years", age_years),
                               "the observers of CIE 170-1:2006 are 20 to 80 years old"});
    }
    protocol.observer.age = Years::from_years(age_years);
}

int planned_trials(const Protocol& protocol, int block) {
    int trials = 0;
    for (const Condition& condition : protocol.conditions) {
        if (condition.block == block)
            trials += trials_of(condition, protocol.blocks[static_cast<std::size_t>(block)]);
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
    const Block& planned = protocol.blocks.at(static_cast<std::size_t>(block));
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

std::vector<std::string> calibration_paths(const Protocol& protocol,
                                           const std::map<std::string, std::string>& from_command_line) {
    std::vector<Fault> faults;
    std::vector<std::string> names;
    std::vector<std::string> paths;
    for (const RigSource& source : protocol.rig.sources) {
        names.push_back(source.name);
        const auto given = from_command_line.find(source.name);
        paths.push_back(given != from_command_line.end() ? given->second : source.calibration_file);
        if (paths.back().empty()) {
            faults.push_back({protocol.file, source.line, 0, "rig.sources." + source.name,
                              fmt::format("no calibration file for source '{}'", source.name),
                              fmt::format("write its path after the name, or give it with the command: "
                                          "--calibration {}=FILE",
                                          source.name)});
        }
    }
    for (const auto& [name, path] : from_command_line) {
        if (std::find(names.begin(), names.end(), name) != names.end())
            continue;
        const std::string nearest = nearest_word(name, names);
        const std::string guess = nearest.empty() ? "" : fmt::format("did you mean '{}'? ", nearest);
        faults.push_back({"", 0, 0, "--calibration",
                          fmt::format("the rig of {} has no source '{}'", protocol.file, name),
                          fmt::format("{}its sources are: {}", guess, fmt::join(names, ", "))});
    }
    if (!faults.empty())
        throw InputError(std::move(faults));
    return paths;
}

}  // namespace isoseam
