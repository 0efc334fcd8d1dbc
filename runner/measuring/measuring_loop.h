#pragma once
// Runs a measurement from the first patch to the last reading: shows, reads, checks and stores. It knows no
// command line and no window.

#include <functional>
#include <optional>
#include <string>

#include "calibration/instruments/instrument.h"
#include "calibration/measuring/measuring_log.h"
#include "runner/measuring/patch_screen.h"

namespace isoseam {

// The person at the terminal, if there is one.
struct PersonAtTerminal {
    std::function<void(const std::string& line)> tell;
    std::function<void(const std::string& line)> progress;  // replaces the line before
    // Returns the line that was typed in answer; none when nobody is there.
    std::function<std::optional<std::string>(const std::string& prompt)> ask;
};

struct LoopOptions {
    double settle_s = kUsualSettleSeconds;  // the time between showing a patch and reading it
    double try_again_s = 2.0;               // the wait after a failure that may pass
    // A disturbance of the screen may take this long to pass by itself.
    double focus_wait_s = 30.0;
    bool despite_drifting = false;  // go on although white has not settled in the longest time
};

enum class LoopEnd {
    all_read,
    left,      // somebody left
    trouble,   // the instrument or the screen failed
    drifting,  // white did not settle
};
struct LoopOutcome {
    LoopEnd end = LoopEnd::all_read;
    std::optional<ReadingFailure> failure;  // set if the end is `trouble`
};

// Goes on where the log stands. `began_s` is the measurement's time, in seconds since it was begun, that
// belongs to screen.now_s() at the moment of the call. Every reading that is kept is on disk before the next
// patch is shown.
LoopOutcome run_measurement(MeasuringLog& log, Instrument& instrument, PatchScreen& screen,
                            const PersonAtTerminal& person, const LoopOptions& options, double began_s);

// How often a failed reading is tried again before a person is asked.
inline constexpr int kTries = 3;

}  // namespace isoseam
