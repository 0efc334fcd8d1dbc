#include "protocols/protocol.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <numeric>

namespace isoseam {
namespace {

int setting_count(const Protocol& protocol) {
    return std::accumulate(protocol.conditions.begin(), protocol.conditions.end(), 0,
                           [](int sum, const Condition& condition) { return sum + condition.repeats; });
}

}  // namespace

std::vector<Trial> trial_order(const Protocol& protocol, std::uint64_t seed) {
    std::vector<int> condition_of_slot;
    for (std::size_t i = 0; i < protocol.conditions.size(); ++i)
        condition_of_slot.insert(condition_of_slot.end(),
                                 static_cast<std::size_t>(protocol.conditions[i].repeats),
                                 static_cast<int>(i));
    const int count = static_cast<int>(condition_of_slot.size());
    std::vector<int> slots(condition_of_slot.size());
    std::iota(slots.begin(), slots.end(), 0);
    if (protocol.shuffled)
        slots = shuffled_order({seed, kStreamTrialOrder}, count);

    std::vector<Trial> trials;
    std::vector<int> shown(protocol.conditions.size(), 0);
    for (const int slot : slots) {
        const int condition = condition_of_slot[static_cast<std::size_t>(slot)];
        const int number = static_cast<int>(trials.size()) + 1;
        trials.push_back({number, condition, ++shown[static_cast<std::size_t>(condition)]});
    }
    return trials;
}

double expected_duration_s(const Protocol& protocol) {
    const int settings = setting_count(protocol);
    const int after_first = std::max(settings - 1, 0);
    const int rests = protocol.rest_every > 0 ? after_first / protocol.rest_every : 0;
    return static_cast<double>(protocol.pages.size()) * kSecondsPerPage +
           (1 + rests) * protocol.adaptation_s + (after_first - rests) * protocol.top_up_s +
           settings * protocol.seconds_per_setting + rests * kSecondsPerRest;
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
