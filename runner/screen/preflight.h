#pragma once
// What is looked at before a participant sits down.

#include <cstdint>
#include <set>
#include <string>
#include <vector>

#include "base/calendar.h"
#include "protocols/language/protocol.h"
#include "protocols/setup/setup.h"
#include "runner/station/station.h"

namespace isoseam {

// Faults that an experimenter may knowingly go on with (--despite); each is then recorded as a warning.
enum class Despite { expired, estimated, resolution, refresh, unsynchronised };
Despite parse_despite(const std::string& word);  // InputError that lists the words

// A calibration that is past its day, or that is estimated and not measured, is an InputError that names the
// file and a way out, unless `despite` has expired or estimated. Returns the warnings to record.
std::vector<std::string> check_validity(const Setup& setup, Day today, const std::set<Despite>& despite);

// Compares the screens with the calibrations of their sources: resolution (only in full screen) and refresh
// rate. MachineError that names both, unless `despite` holds the fault. Returns the warnings to record:
// faults that somebody goes on with, what the system does not tell, a frame buffer of another depth than
// calibrated, a window instead of a full screen.
std::vector<std::string> check_screens(const Setup& setup, const Station& station, bool full_screen,
                                       const std::set<Despite>& despite);

// Looks at the clocks of the screens, for stimuli that are timed by frames. MachineError where frames do not
// wait for the screen, unless `despite` holds this fault. Returns the warnings to record: this fault, and a
// display latency that nobody has stated.
std::vector<std::string> check_clocks(const std::vector<ScreenRecord>& screens,
                                      const std::set<Despite>& despite);

// Looks at sources that share one screen. Returns a warning to record when their calibrations differ (as with
// a filter over one half, or by mistake). InputError when they do not agree on pixel pitch or mirroring,
// since one screen can have only one of each.
std::vector<std::string> check_shared_screens(const Setup& setup, const std::vector<int>& screen_of_source);

// Makes sure that there is space for a session, with plenty to spare. MachineError that names the folder,
// what is free and what is needed.
inline constexpr std::uint64_t kNeededBytes = 64ULL * 1024 * 1024;
void check_space(const std::string& folder, std::uint64_t free);

// One warning for each gamepad whose buttons are not known. It says that the gamepad is ignored, and what to
// do.
std::vector<std::string> gamepad_warnings(const std::vector<std::string>& unknown_gamepads);

}  // namespace isoseam
