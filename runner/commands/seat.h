#pragma once
// A participant's seat, as the command line asks for it: one or two screens, or words without a screen. It
// includes everything that is looked at before anybody sits down.
//
//     add_seat_options(command, options.seat);
//     std::vector<std::string> warnings = check_before_opening(options.seat, setup);
//     return with_seat(setup, options.seat, dither, placement, warnings, session);

#include <functional>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "runner/commands/command.h"
#include "runner/commands/output_option.h"
#include "runner/commands/screen_choice.h"
#include "runner/screen/preflight.h"
#include "runner/screen/screen_station.h"

namespace isoseam {

struct SeatOptions {
    ScreenChoice screens;
    bool headless = false;
    std::vector<std::string> despite;
    OutputOption picture{"--picture"};
    // The folder of a session that is resumed: the picture replaces nothing in it.
    std::string session_folder;
    std::optional<double> latency_ms;
    bool flicker_acknowledged = false;
    std::string keys = "both";
    std::string knob;
    bool sounds = false;
    std::string text_size = "normal";
};
void add_seat_options(Command* command, SeatOptions& options);
std::set<Despite> despite_of(const SeatOptions& options);

// Checks everything that must be known before a window opens: keys, the safeguards of flicker, the picture's
// folder, and the last days of the calibrations. Returns warnings to record.
std::vector<std::string> check_before_opening(const SeatOptions& options, const Setup& setup);

// Opens the seat, looks at its screens, and runs `session` on it. `warnings` are handed on, with those found
// here.
using RunOnStation = std::function<ExitStatus(Station& station, const std::vector<std::string>& warnings)>;
ExitStatus with_seat(const Setup& setup, const SeatOptions& options, const Dither& dither,
                     const Placement& placement, std::vector<std::string> warnings,
                     const RunOnStation& session);

}  // namespace isoseam
