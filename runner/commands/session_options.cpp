#include "runner/commands/session_options.h"
#include "protocols/checks/check.h"
#include "protocols/language/ready_protocols.h"
#include "runner/commands/command_words.h"
#include "runner/commands/option_faults.h"
#include "runner/station/phrases.h"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <ctime>
#include <filesystem>

namespace isoseam {

void CalibrationOptions::add_to(Command* command) {
    command
        ->add_option("--calibration", calibrations_,
                     "calibration file, or SOURCE=FILE; once per source of the rig (else the protocol's own)")
        ->allow_extra_args(false);
}

void ProtocolOptions::add_to(Command* command) {
    command
        ->add_option("protocol", protocol_,
                     "protocol file, or the name of a ready one (isoseam protocol list)")
        ->required();
    calibrations_.add_to(command);
}

std::string ProtocolOptions::protocol_path() const {
    return file_or_ready(protocol_, "protocol", ready_protocols());
}

std::map<std::string, std::string> CalibrationOptions::files(const Protocol& protocol) const {
    std::map<std::string, std::string> files;
    std::vector<std::string> unnamed;
    for (const std::string& argument : calibrations_) {
        const std::size_t equals = argument.find('=');
        if (equals == std::string::npos || std::filesystem::exists(argument)) {
            unnamed.push_back(argument);
        } else if (!files.emplace(argument.substr(0, equals), argument.substr(equals + 1)).second) {
            throw InputError(Fault{argument, 0, 0, "--calibration",
                                   fmt::format("a second file for '{}'", argument.substr(0, equals)),
                                   "give one file per source"});
        }
    }
    std::size_t next = 0;
    for (const RigSource& source : protocol.rig.sources) {
        if (next < unnamed.size() && files.count(source.name) == 0)
            files[source.name] = unnamed[next++];
    }
    if (next < unnamed.size()) {
        throw InputError(Fault{unnamed[next], 0, 0, "--calibration",
                               fmt::format("the rig has {} source(s), and each has its file already",
                                           protocol.rig.sources.size()),
                               "give one file per source, or SOURCE=FILE"});
    }
    return files;
}

std::vector<Calibration> CalibrationOptions::read(const Protocol& protocol) const {
    std::vector<Calibration> calibrations;
    std::vector<Fault> faults;
    for (const std::string& path : calibration_paths(protocol, files(protocol))) {
        collect_faults(faults, [&] {
            calibrations.push_back(read_calibration(path));
            require_ready_for_session(calibrations.back());
        });
    }
    refuse(faults);
    return calibrations;
}

Setup ProtocolOptions::setup(const std::optional<double>& age_years) const {
    Protocol protocol = read_protocol(protocol_path());
    if (age_years) {
        set_age(protocol, *age_years);
    } else if (protocol.age_from_session) {
        throw InputError(Fault{protocol.file, 0, 0, "--age",
                               "the protocol takes the observer's age from the participant",
                               "give it in years: --age 34"});
    }
    return resolved(std::move(protocol));
}

Setup ProtocolOptions::setup_for_anyone(const std::optional<double>& age_years) const {
    Protocol protocol = read_protocol(protocol_path());
    if (age_years || protocol.age_from_session)
        set_age(protocol, age_years.value_or(kUsualAgeYears));
    return resolved(std::move(protocol));
}

Setup ProtocolOptions::resolved(Protocol protocol) const {
    const std::vector<Calibration> calibrations = calibrations_.read(protocol);
    return Setup(std::move(protocol), calibrations);
}

void check_language(const Protocol& protocol, const char* kind, const std::string& asked) {
    const std::vector<std::string>& languages = protocol.languages;
    for (const std::string& code : languages)
        static_cast<void>(Phrases::read(code));
    if (asked.empty())
        return;
    if (!languages.empty() && std::find(languages.begin(), languages.end(), asked) == languages.end()) {
        throw InputError(Fault{"", 0, 0, "--language",
                               fmt::format("the {} {} has no texts in '{}'", kind, protocol.file, asked),
                               fmt::format("its languages are: {}", fmt::join(languages, ", "))});
    }
    static_cast<void>(Phrases::read(asked));
}

std::vector<std::string> files_read_for(const Setup& setup) {
    const Protocol& protocol = setup.protocol();
    std::vector<std::string> files{protocol.file};
    for (int source = 0; source < setup.source_count(); ++source)
        files.push_back(setup.solver(source).display().calibration().file);
    for (const auto& [path, text] : protocol.spectrum_files)
        files.push_back((std::filesystem::path(protocol.file).parent_path() / path).string());
    return files;
}

}  // namespace isoseam
