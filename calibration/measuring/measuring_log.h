#pragma once
// The log is the record of a measurement: a folder with measurement.jsonl, one event in each line. Each event
// is on disk before the next patch is shown, so a measurement that is killed at any moment loses no reading
// that was kept. calibration/README.md describes the format.

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
    // The options from which the instrument was made, by their names on the command line. With them it can be
    // made again.
    std::vector<std::pair<std::string, std::string>> instrument_options;
    // The warnings in spite of which the measurement was continued.
    std::vector<std::string> warnings;
};

// Says how two headers of one measurement differ in plan, screen and instrument, each as "what: was, is now".
// The list is empty if they do not differ.
std::vector<std::string> changes_since(const MeasurementHeader& then, const MeasurementHeader& now);

class MeasuringLog {
  public:
    // Makes a new folder "<plan>-<UTC time>[-n]" in `parent` (which is made if needed) and the log in it.
    // Throws a MachineError if this fails.
    static MeasuringLog create(const std::string& parent, const MeasurementHeader& header,
                               AppendCalls calls = AppendCalls::real());
    // Continues the log in `folder`: reads it, folds it and cuts off a torn last line. Throws an InputError
    // with the line for a file that is not ours, of another version, changed by hand, or whose plan this
    // program would make differently. Throws a MachineError if the file cannot be opened or another program
    // has it open.
    static MeasuringLog resume(const std::string& folder, AppendCalls calls = AppendCalls::real());

    const std::string& folder() const { return folder_; }
    const MeasurementHeader& header() const { return header_; }
    const MeasuringState& state() const { return state_; }
    bool lost_torn_line() const { return lost_torn_line_; }

    // Writes, syncs and then folds the event, so that the state never holds anything that is not on disk.
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
