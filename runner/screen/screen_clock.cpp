#include "runner/screen/screen_clock.h"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

#include "base/errors.h"

namespace isoseam {
namespace {

// A window that has just come up settles first.
constexpr int kFramesToSettle = 6;
constexpr int kOpeningFrames = 48;
// A slow virtual screen shows fewer frames in this time, but enough to find a beat.
constexpr double kLongestOpeningSeconds = 1.5;

double median(std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

struct OpeningRun {
    std::vector<FrameStamp> stamps;
    double input_interval_s = 0.0;
};

// Runs frames as a presentation does: a frame, then a look at what was pressed. With a period it keeps that
// pace.
OpeningRun opening_run(Presenter& presenter, VideoSystem& video, const Page& plain,
                       const std::optional<double>& period_s) {
    OpeningRun run;
    std::vector<double> intervals_s;
    const double start_s = steady_seconds();
    double looked_s = start_s;
    for (int k = 0; k < kFramesToSettle + kOpeningFrames; ++k) {
        if (static_cast<int>(run.stamps.size()) >= kFewestFrames &&
            steady_seconds() > start_s + kLongestOpeningSeconds)
            break;
        if (period_s)
            presenter.keep_beat(start_s + k * *period_s, *period_s);
        presenter.show(plain);
        while (video.next_event(0.0)) {  // nothing is to be heard before the first page
        }
        const double now_s = steady_seconds();
        if (k >= kFramesToSettle) {
            run.stamps.push_back(presenter.stamp());
            intervals_s.push_back(now_s - looked_s);
        }
        looked_s = now_s;
    }
    run.input_interval_s = median(intervals_s);
    return run;
}

MeasuredBeat beat_of(const std::vector<FrameStamp>& stamps) {
    const std::optional<MeasuredBeat> beat = measure_beat(stamps);
    if (!beat) {
        throw MachineError("the times of frames on the screen do not rise",
                           "check the graphics driver: its clock runs backwards");
    }
    return *beat;
}

}  // namespace

ScreenClock measure_clock(Presenter& presenter, VideoSystem& video, const Page& plain, double calibrated_hz) {
    OpeningRun run = opening_run(presenter, video, plain, std::nullopt);
    if (presenter.stamp_kind() == StampKind::media_stream_counter && !refresh_numbers_work(run.stamps)) {
        presenter.distrust_refresh_numbers();
        run = opening_run(presenter, video, plain, std::nullopt);
    }
    ScreenClock clock;
    clock.stamp = presenter.stamp_kind();
    clock.beat = beat_of(run.stamps);
    clock.input_interval_s = run.input_interval_s;
    const double told_hz = presenter.info().refresh_hz > 0.0 ? presenter.info().refresh_hz : calibrated_hz;
    const Synchronisation judged = judge_synchronisation(clock.beat, told_hz);
    clock.synchronised = judged.synchronised;
    clock.why_not = judged.why_not;
    if (!clock.synchronised) {
        const double period_s = 1.0 / calibrated_hz;
        run = opening_run(presenter, video, plain, period_s);
        clock.stamp = StampKind::paced;
        clock.beat = beat_of(run.stamps);
        clock.beat.period_s = period_s;
        clock.input_interval_s = run.input_interval_s;
    }
    return clock;
}

ClockRecord clock_record(const ScreenClock& clock, const std::optional<double>& latency_ms) {
    ClockRecord record;
    record.stamp = to_string(clock.stamp);
    record.period_ms = 1e3 * clock.beat.period_s;
    record.spread_ms = 1e3 * clock.beat.spread_s;
    record.synchronised = clock.synchronised;
    record.input_interval_ms = 1e3 * clock.input_interval_s;
    record.latency_ms = latency_ms;
    return record;
}

FrameWatch frame_watch(const ScreenClock& clock) {
    if (clock.stamp == StampKind::paced)
        return FrameWatch(clock.beat.period_s, FrameWatch::Beat::kept,
                          steady_seconds() + clock.beat.period_s);
    return FrameWatch(clock.beat.period_s);
}

void keep_beat(Presenter& presenter, const ScreenClock& clock, const FrameWatch& watch) {
    if (clock.stamp == StampKind::paced && watch.next_due_s())
        presenter.keep_beat(*watch.next_due_s(), clock.beat.period_s);
}

}  // namespace isoseam
