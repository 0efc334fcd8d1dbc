#pragma once
// What `session run`, `session rehearse` and the protocol commands share: the options for the protocol and
// its calibrations.
//
//     options.protocol.add_to(command);
//     const Setup setup = options.protocol.setup(options.age_years);

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "calibration/display_model.h"
#include "protocols/language/protocol.h"
#include "protocols/setup/setup.h"

namespace isoseam {

class Command;

// The option --calibration NAME=FILE. Plain files without a name go to the sources not named, in the order of
// the rig.
class CalibrationOptions {
  public:
    void add_to(Command* command);
    // InputError when there is a file too many.
    std::map<std::string, std::string> files(const Protocol& protocol) const;
    // Returns the calibrations of all sources, read and ready for a session. InputError with all faults.
    std::vector<Calibration> read(const Protocol& protocol) const;

  private:
    std::vector<std::string> calibrations_;
};

// Returns `word` where it is a file, else the path of the ready file of that name. InputError when neither
// exists; it calls such a file a `kind`, "protocol" or "lecture".
template <class Ready>
std::string file_or_ready(const std::string& word, const char* kind, const std::vector<Ready>& all_ready) {
    if (std::filesystem::exists(word))
        return word;
    std::vector<std::string> names;
    for (const Ready& ready : all_ready) {
        if (ready.name == word)
            return ready.path;
        names.push_back(ready.name);
    }
    throw InputError(Fault{word, 0, 0, "",
                           fmt::format("there is no such file, and no ready {} of that name", kind),
                           fmt::format("name a file, or one of: {}", fmt::join(names, ", "))});
}

class ProtocolOptions {
  public:
    void add_to(Command* command);

    // Returns the path of the protocol file: the given one, or that of a ready protocol with the given name.
    // InputError when neither exists.
    std::string protocol_path() const;
    const CalibrationOptions& calibrations() const { return calibrations_; }
    // Returns the setup with everything read, checked and resolved. `age_years` is the participant's age.
    // InputError (key "--age") where the protocol asks for an age and there is none, or where the protocol
    // names an age itself.
    Setup setup(const std::optional<double>& age_years = {}) const;
    // Does the same for nobody in particular: where the protocol leaves the age open and none is given, it is
    // kUsualAgeYears.
    Setup setup_for_anyone(const std::optional<double>& age_years = {}) const;

  private:
    Setup resolved(Protocol protocol) const;

    std::string protocol_;
    CalibrationOptions calibrations_;
};

// Throws unless there are phrases for each language of a protocol or lecture, and for the one that was asked
// for ("": none). `kind` is "protocol" or "lecture". InputError (key "--language") for a language that it
// does not have.
void check_language(const Protocol& protocol, const char* kind, const std::string& asked);

// Returns the files that a setup was read from: protocol, calibrations and spectra.
std::vector<std::string> files_read_for(const Setup& setup);

}  // namespace isoseam
