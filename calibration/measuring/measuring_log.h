#pragma once
// The record of a measurement: a folder with measurement.jsonl, one event a line, each on disk before the
// next patch is shown. Killed at any moment it loses no reading that was kept. Format in
// calibration/README.md.

#include <string>
#include <vector>

#include "base/append_file.h"
#include "calibration/measuring/measuring_state.h"

namespace isoseam {

inline constexpr int kMeasurementVersion = 1;

struct ScreenShown {
    std::string name;  // as the system calls it; "none" where nothing was shown
    int index = 0;
    int width_px = 0;
    int height_px = 0;
    double refresh_hz = 0.0;
    int bits = 8;
    std::string video_driver;
    bool full_screen = true;
};

// What a measurement was begun with. A later change is noticed when the measurement is resumed.
struct MeasurementHeader {
    std::string program_version;
    std::string started_utc;
    PlanOptions plan;
    ScreenShown screen;
    InstrumentRecord instrument;
    // What the instrument was made from, by the names of the command line; to make it again.
    std::vector<std::pair<std::string, std::string>> instrument_options;
    std::vector<std::string> warnings;  // what was gone on with
};

// How two headers of one measurement differ: plan, screen and instrument, each "what: was, is now"; empty
// when they do not.
std::vector<std::string> changes_since(const MeasurementHeader& then, const MeasurementHeader& now);

class MeasuringLog {
  public:
    // Makes a new folder "<plan>-<UTC time>[-n]" in `parent` (made if need be) and the log in it.
    // MachineError.
    static MeasuringLog create(const std::string& parent, const MeasurementHeader& header,
                               AppendCalls calls = AppendCalls::real());
    // Goes on with the one in `folder`: reads it, folds it and cuts a torn last line off. InputError with
    // line for a file that is none of ours, of another version, changed by hand or whose plan this program
    // would make otherwise; MachineError where it cannot be opened or another program has it open.
    static MeasuringLog resume(const std::string& folder, AppendCalls calls = AppendCalls::real());

    const std::string& folder() const { return folder_; }
    const MeasurementHeader& header() const { return header_; }
    const MeasuringState& state() const { return state_; }
    bool lost_torn_line() const { return lost_torn_line_; }

    // Writes, syncs, then folds: the state never knows what the disk does not.
    void append(const MeasuringEvent& event);

  private:
    MeasuringLog(std::string folder, MeasurementHeader header, MeasuringState state, AppendFile file,
                 std::string checksum);

    std::string folder_;
    MeasurementHeader header_;
    MeasuringState state_;
    AppendFile file_;
    std::string checksum_;  // of the last line
    bool lost_torn_line_ = false;
};

}  // namespace isoseam
