#pragma once
// Flicker in a real window on a virtual screen, with stalls injected before the exchange of buffers. What was
// late is told apart by readings of a clock of the test's own, since a busy machine stalls by itself as well.

#include <time.h>

#include <chrono>
#include <cmath>
#include <thread>

#include "base/random.h"
#include "runner/screen/screen_station.h"
#include "runner/station/flicker_presentation.h"

namespace isoseam::test {

inline double own_clock_s() {
    timespec now{};
    clock_gettime(CLOCK_MONOTONIC, &now);
    return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

inline Setup one_screen_setup() {
    Protocol protocol = read_protocol(ISOSEAM_SOURCE_DIR "/protocols/library/precision_one_screen.yaml");
    std::vector<Calibration> calibrations;
    for (const std::string& path : calibration_paths(protocol, {}))
        calibrations.push_back(read_calibration(path));
    return Setup(std::move(protocol), calibrations);
}

inline ExchangedLights bright_and_dim() {
    const LinearDrive bright{Eigen::Vector3d(0.6, 0.5, 0.4)};
    const LinearDrive dim{Eigen::Vector3d(0.2, 0.2, 0.3)};
    return {{bright, bright}, {dim, dim}};
}

struct FlickerRun {
    std::int64_t injected = 0;    // stalls after which a frame must be late
    std::int64_t not_found = 0;   // of these
    std::int64_t decoys = 0;      // stalls too short for that
    std::int64_t by_itself = 0;   // late without one, as the test's clock confirms
    std::int64_t invented = 0;    // called late although the test's clock says that the frame was on time
    std::int64_t overlooked = 0;  // not called late although the test's clock says that it was
    std::int64_t miscounted = 0;  // another number of dropped refreshes than by the test's clock
    std::int64_t undecided = 0;   // half a period fell between two readings of the test's clock
    FrameCounts counts;           // what the program says
    double duration_s = 0.0;
    ScreenRecord screen;
};

// Stalls before the exchange of buffers, and reads the clock.
class StallingHook {
  public:
    void operator()() {
        if (period_s <= 0.0)
            return;
        const double draw = random.uniform(2 * frame);
        const double length = random.uniform(2 * frame + 1);
        stall_s = draw < 0.02   ? (0.75 + 3.0 * length) * period_s
                  : draw < 0.04 ? 0.2 * length * period_s
                                : 0.0;
        if (stall_s > 0.0)
            std::this_thread::sleep_for(std::chrono::duration<double>(stall_s));
        before_s = own_clock_s();
    }

    RandomStream random{20261125, 2101};
    std::uint64_t frame = 0;
    double period_s = 0.0;
    double stall_s = 0.0;
    double before_s = 0.0;
};

// Holds what the program found of one frame against the test's own clock.
inline void judge(FlickerRun& run, const StallingHook& hook, double due_s, double after_s,
                  std::int64_t dropped) {
    const double half_s = hook.period_s / 2.0;
    const bool called_late = dropped > 0;
    const bool surely_late = hook.before_s > due_s + half_s;
    const bool surely_on_time = after_s <= due_s + half_s;
    const bool must_be_late = hook.stall_s > half_s;
    run.injected += must_be_late ? 1 : 0;
    run.decoys += hook.stall_s > 0.0 && !must_be_late ? 1 : 0;
    run.not_found += must_be_late && !called_late ? 1 : 0;
    run.invented += called_late && surely_on_time ? 1 : 0;
    run.overlooked += !called_late && surely_late ? 1 : 0;
    run.by_itself += called_late && surely_late && !must_be_late ? 1 : 0;
    run.undecided += !surely_late && !surely_on_time ? 1 : 0;
    const auto refreshes = [&](double time_s) { return std::llround((time_s - due_s) / hook.period_s); };
    if (called_late && surely_late && (dropped < refreshes(hook.before_s) || dropped > refreshes(after_s)))
        ++run.miscounted;
}

// A virtual screen is in use (VirtualScreen::use).
inline FlickerRun flicker_run(double seconds) {
    const Setup setup = one_screen_setup();
    VideoSystem video;
    StallingHook hook;
    ScreenOptions options;
    options.screen_of_source = {0};
    options.despite_unsynchronised = true;  // a virtual screen
    options.before_swap = [&] { hook(); };
    ScreenStation station(setup, video, options);
    FlickerRun run;
    run.screen = station.screens().front();
    hook.period_s = run.screen.clock->period_ms / 1e3;

    Flicker flicker;
    flicker.rate = rate_of(FlickerForm::square, 15.0, 1.0 / hook.period_s);
    flicker.onset_frames = 60;
    flicker.end_frame = static_cast<std::int64_t>(seconds / hook.period_s);
    PresentationProgress progress;
    std::int64_t dropped = 0;
    double due_s = 0.0;
    const auto judge_last = [&] {
        judge(run, hook, due_s, own_clock_s(), progress.frames.dropped - dropped);
        dropped = progress.frames.dropped;
    };
    Presentation presentation = flicker_presentation(flicker, bright_and_dim());
    const auto lights = presentation.lights;
    presentation.lights = [&](std::int64_t frame) {
        if (frame > 0)
            judge_last();
        due_s = *progress.watch->next_due_s();
        hook.frame = static_cast<std::uint64_t>(frame);
        return lights(frame);
    };
    const double start_s = own_clock_s();
    for (;;) {
        const Action action = station.show_presentation(presentation, progress);
        if (std::holds_alternative<PresentationEnded>(action))
            break;
        if (const auto* const interrupted = std::get_if<Interrupted>(&action))
            throw std::runtime_error("interrupted: " + interrupted->reason);
    }
    judge_last();
    run.duration_s = own_clock_s() - start_s;
    run.counts = progress.frames;
    return run;
}

}  // namespace isoseam::test
