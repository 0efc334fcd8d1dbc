#pragma once
// What `session run`, `session rehearse` and the protocol commands share: which protocol, which calibrations.
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

// --calibration NAME=FILE, or plain files for the sources not named, in the order of the rig.
class CalibrationOptions {
  public:
    void add_to(Command* command);
    // InputError for a file too many.
    std::map<std::string, std::string> files(const Protocol& protocol) const;
    // The calibrations of all sources, read and ready for a session; InputError with all faults.
    std::vector<Calibration> read(const Protocol& protocol) const;

  private:
    std::vector<std::string> calibrations_;
};

class ProtocolOptions {
  public:
    void add_to(Command* command);

    // The protocol's path: as given, or of a ready protocol of that name. InputError when neither exists.
    std::string protocol_path() const;
    std::map<std::string, std::string> calibration_files(const Protocol& protocol) const;
    // Everything read, checked and resolved. `age_years` is the participant's; InputError (key "--age") where
    // the protocol asks for it and there is none, or names an age itself.
    Setup setup(const std::optional<double>& age_years = {}) const;
    // The same for nobody in particular: an age that the protocol leaves open is kUsualAgeYears.
    Setup setup_for_anyone() const;

  private:
    Setup resolved(Protocol protocol) const;

    std::string protocol_;
    CalibrationOptions calibrations_;
};

// The files that a setup was read from: protocol, calibrations, spectra.
std::vector<std::string> files_read_for(const Setup& setup);

}  // namespace isoseam
