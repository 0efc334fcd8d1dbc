#pragma once
// How well the times of a screen's frames are known. This is measured in a short run of frames before the
// first stimulus.

#include <optional>
#include <string>

#include "results_schema/session_header.h"
#include "stimuli/gl/presenter.h"

namespace isoseam {

struct ScreenClock {
    StampKind stamp = StampKind::fence;
    MeasuredBeat beat;
    bool synchronised = false;
    std::string why_not;  // the reason when it is not synchronised
    // The median time between two looks at keys and gamepads while frames run.
    double input_interval_s = 0.0;
};

// Shows some plain frames, less than a second of them. On a screen that waits for nothing the program keeps
// the beat of the calibration itself (StampKind::paced) and measures how well.
ScreenClock measure_clock(Presenter& presenter, VideoSystem& video, const Page& plain, double calibrated_hz);

ClockRecord clock_record(const ScreenClock& clock, const std::optional<double>& latency_ms);

// A watch for a presentation that begins now.
FrameWatch frame_watch(const ScreenClock& clock);

// Where the program keeps the beat, the next frame waits until it is due. Elsewhere it waits for the screen
// alone.
void keep_beat(Presenter& presenter, const ScreenClock& clock, const FrameWatch& watch);

}  // namespace isoseam
