#pragma once
// A measurement from the first patch to the last reading: shows, reads, checks, stores. Knows no command line
// and no window.

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
    // A line typed in answer; nothing when nobody is there.
    std::function<std::optional<std::string>(const std::string& prompt)> ask;
};

struct LoopOptions {
    double settle_s = kUsualSettleSeconds;  // between showing a patch and reading it
    double try_again_s = 2.0;               // after a failure that may pass
    double focus_wait_s = 30.0;             // for what disturbs the screen to pass by itself
    bool despite_drifting = false;          // go on when white has not settled in the longest time
};

enum class LoopEnd {
    all_read,
    left,      // by somebody
    trouble,   // the instrument or the screen
    drifting,  // white did not settle
};
struct LoopOutcome {
    LoopEnd end = LoopEnd::all_read;
    std::optional<ReadingFailure> failure;  // of trouble
};

// Goes on where the log stands. `began_s`: the measurement's time (seconds since it was begun) at which
// screen.now_s() is now. Every reading that is kept is on disk before the next patch is shown.
LoopOutcome run_measurement(MeasuringLog& log, Instrument& instrument, PatchScreen& screen,
                            const PersonAtTerminal& person, const LoopOptions& options, double began_s);

// How often a reading that failed is tried again before a person is asked.
inline constexpr int kTries = 3;

}  // namespace isoseam
