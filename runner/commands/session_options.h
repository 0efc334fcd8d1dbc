#pragma once
// What `session run`, `session rehearse` and the protocol commands share: the options for the protocol and
// its calibrations.
//
//     options.protocol.add_to(command);
//     const Setup setup = options.protocol.setup(options.age_years);

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

class ProtocolOptions {
  public:
    void add_to(Command* command);

    // Returns the path of the protocol file: the given one, or that of a ready protocol with the given name.
    // InputError when neither exists.
    std::string protocol_path() const;
    std::map<std::string, std::string> calibration_files(const Protocol& protocol) const;
    // Returns the setup with everything read, checked and resolved. `age_years` is the participant's age.
    // InputError (key "--age") where the protocol asks for an age and there is none, or where the protocol
    // names an age itself.
    Setup setup(const std::optional<double>& age_years = {}) const;
    // Does the same for nobody in particular: where the protocol leaves the age open, it is kUsualAgeYears.
    Setup setup_for_anyone() const;

  private:
    Setup resolved(Protocol protocol) const;

    std::string protocol_;
    CalibrationOptions calibrations_;
};

// Returns the files that a setup was read from: protocol, calibrations and spectra.
std::vector<std::string> files_read_for(const Setup& setup);

}  // namespace isoseam
