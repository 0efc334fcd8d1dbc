#include "protocols/language/protocol.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

namespace isoseam {
namespace {

// CIE 170-1:2006 gives observers for these ages.
constexpr double kLeastAgeYears = 20.0;
constexpr double kMostAgeYears = 80.0;

}  // namespace

Place Protocol::place_of(const std::string& key) const {
    const auto known = places.find(key);
    return known == places.end() ? Place{} : known->second;
}

Fault Protocol::fault_at(const std::string& key, std::string found, std::string remedy) const {
    const Place place = place_of(key);
    return {file, place.line, place.column, key, std::move(found), std::move(remedy)};
}

void set_age(Protocol& protocol, double age_years) {
    if (!protocol.age_from_session) {
        throw InputError("--age",
                         fmt::format("the protocol {} names the observer's age itself", protocol.file),
                         "leave --age out, or write 'age: session' in the protocol");
    }
    if (!(age_years >= kLeastAgeYears && age_years <= kMostAgeYears)) {
        throw InputError("--age", fmt::format("{:g} years", age_years),
                         "the observers of CIE 170-1:2006 are 20 to 80 years old");
    }
    protocol.observer.age = Years::from_years(age_years);
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
        faults.push_back(
            {"", 0, 0, "--calibration", fmt::format("the rig of {} has no source '{}'", protocol.file, name),
             fmt::format("{}its sources are: {}", did_you_mean(name, names), fmt::join(names, ", "))});
    }
    throw_if_any(faults);
    return paths;
}

}  // namespace isoseam
