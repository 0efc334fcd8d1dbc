// A person's seat at a virtual screen: frames, the stop key, and what goes wrong with windows.

#include "runner/screen/screen_station.h"

#include <fmt/format.h>

#include <array>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <memory>
#include <vector>

#include "base/errors.h"
#include "support/screen_pixels.h"
#include "support/screen_settings.h"
#include "support/seats/flicker_run.h"
#include "support/seats/moments.h"
#include "support/seats/screen_seat.h"
#include "support/tolerances.h"
#include "support/virtual_screen.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

Presentation endless_flicker() {
    Flicker flicker;
    flicker.rate = {FlickerForm::square, 4};
    return flicker_presentation(flicker, bright_and_dim());
}

std::array<unsigned, 3> middle(const ScreenPixels& pixels) {
    return pixels.codes(pixels.width() / 2 - 20, pixels.height() / 2);
}

}  // namespace

TEST_CASE("ten seconds of flicker with stalls: every injected late frame is found, and none is invented",
          "[screen]") {
    const VirtualScreen screen(640, 480, 24);
    screen.use();
    const FlickerRun run = flicker_run(10.0);
    INFO(fmt::format("{} frames, {} injected, {} late by themselves, {} undecided", run.counts.shown,
                     run.injected, run.by_itself, run.undecided));
    CHECK(run.counts.shown == 600);
    CHECK(run.injected >= 5);
    CHECK(run.decoys >= 5);
    CHECK(run.not_found == 0);
    CHECK(run.invented == 0);
    CHECK(run.overlooked == 0);
    CHECK(run.miscounted == 0);
    CHECK(run.counts.late >= run.injected);
    // Every refresh since the first frame was either filled or dropped.
    const auto refreshes = static_cast<double>(run.counts.shown + run.counts.dropped);
    CHECK(run.duration_s >= (refreshes - 2.0) / 60.0);
    CHECK(run.duration_s <= refreshes / 60.0 + 2.0);  // before the first and after the last frame
}

TEST_CASE("a screen that waits for nothing is paced by its calibration's refresh, and says so", "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    ScreenOptions options = on_screen();
    options.latency_ms = 22.0;
    const ScreenStation station(setup, video, options);
    const ScreenRecord record = station.screens().front();
    REQUIRE(record.clock);
    CHECK(record.clock->stamp == "paced");
    CHECK_FALSE(record.clock->synchronised);
    CHECK(record.clock->period_ms == Approx(1e3 / 60.0).epsilon(test::kFiveDigits));
    CHECK(record.clock->spread_ms >= 0.0);
    CHECK(*record.clock->input_interval_ms > 8.0);  // once a frame; a busy machine looks less often
    CHECK(*record.clock->latency_ms == 22.0);
}

TEST_CASE("a caption is on the screen below its field, and gone with the next field", "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    ScreenStation station(setup, video, on_screen());
    FieldLights lights = some_field();
    const auto shown = [&] {
        station.show_field(lights);
        const ScreenPixels pixels;
        return pixels.block(0, 0, pixels.width(), pixels.height());
    };
    const auto alone = shown();
    lights.caption = "Two lights";
    const auto with_caption = shown();
    int above = 0;
    int below = 0;
    const std::size_t half = alone.size() / 2;
    for (std::size_t i = 0; i < alone.size(); ++i)
        (i < half ? above : below) += alone[i] != with_caption[i] ? 1 : 0;
    CHECK(above == 0);
    CHECK(below > 100);
    lights.caption.clear();
    CHECK(shown() == alone);
}

TEST_CASE("timed frames are refused on a screen that waits for nothing, unless told otherwise", "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    ScreenOptions options = on_screen();
    options.despite_unsynchronised = false;
    ScreenStation station(setup, video, options);
    PresentationProgress progress;
    CHECK_THROWS_WITH(station.show_presentation(endless_flicker(), progress),
                      Catch::Contains("frames do not wait for the screen's refresh: frames follow") &&
                          Catch::Contains("--despite unsynchronised"));
}

TEST_CASE("the stop key is heard at any frame, and the frame after it is the plain surround", "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    std::int64_t exchanges = 0;
    ScreenOptions options = on_screen();
    options.before_swap = [&] { ++exchanges; };
    ScreenStation station(setup, video, options);
    station.show_page({});
    const ScreenPixels pixels;
    const std::array<unsigned, 3> surround = middle(pixels);

    for (const std::int64_t press_at : {0, 1, 7, 40}) {
        Presentation presentation = endless_flicker();
        const auto lights = presentation.lights;
        presentation.lights = [&, press_at](std::int64_t frame) {
            if (frame == press_at)
                send("key Escape");  // has been pressed when it returns
            return lights(frame);
        };
        exchanges = 0;
        PresentationProgress progress;
        const Action action = station.show_presentation(presentation, progress);
        CAPTURE(press_at);
        CHECK(std::holds_alternative<Escaped>(action));
        // The frame that was being drawn, perhaps one more until the X server hands the press on, then none.
        CHECK(progress.next_frame <= press_at + 2);
        CHECK(exchanges == progress.frames.shown + 1);
        CHECK(middle(pixels) == surround);
    }
}

TEST_CASE("a presentation is carried on where it was, and its light follows from the frame's number",
          "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    ScreenStation station(setup, video, on_screen());
    station.expect(adjusting(1));
    std::vector<std::int64_t> asked;
    Presentation presentation = endless([&](std::int64_t frame) {
        asked.push_back(frame);
        if (frame == 5)
            send("key Right");
        return flicker_lights({}, bright_and_dim(), frame);
    });
    presentation.end_frame = 12;
    PresentationProgress progress;
    const Action action = station.show_presentation(presentation, progress);
    CHECK(std::holds_alternative<StepTaken>(action));
    CHECK(std::holds_alternative<PresentationEnded>(station.show_presentation(presentation, progress)));
    CHECK(asked == std::vector<std::int64_t>{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11});
    CHECK(progress.frames.shown == 12);
    CHECK(progress.frames.late >= 1);  // xdotool needs longer than a frame
    progress.pause();
    presentation.end_frame = 14;
    const std::int64_t dropped = progress.frames.dropped;
    std::this_thread::sleep_for(std::chrono::seconds(1));  // 60 refreshes
    CHECK(std::holds_alternative<PresentationEnded>(station.show_presentation(presentation, progress)));
    CHECK(progress.frames.dropped - dropped < 45);  // the pause does not count; a busy machine may
}

TEST_CASE("what must not go on for longer ends by the clock, however few frames were shown", "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    ScreenStation station(setup, video, on_screen());
    Presentation presentation =
        endless([&](std::int64_t frame) { return flicker_lights({}, bright_and_dim(), frame); });
    presentation.end_frame = 100000;
    presentation.longest_s = 0.5;
    PresentationProgress progress;
    const double from_s = station.now_s();
    CHECK(std::holds_alternative<PresentationEnded>(station.show_presentation(presentation, progress)));
    CHECK(station.now_s() - from_s >= 0.5);
    CHECK(progress.frames.shown > 0);
    CHECK(progress.frames.shown < 100);
}

TEST_CASE("another window that takes the keyboard interrupts, also within a presentation", "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    ScreenOptions options = on_screen();
    ScreenStation station(setup, video, options);
    ScreenSettings others("");
    CHECK_FALSE(station.interruption());
    station.show_field(some_field());
    PresenterOptions other;
    other.full_screen = false;
    other.width_px = 100;
    other.height_px = 100;
    other.title = "Other";
    const Presenter thief(video, other);
    REQUIRE(others.focus_window("Other"));
    const Action action = awaited(station);
    REQUIRE(std::holds_alternative<Interrupted>(action));
    CHECK(std::get<Interrupted>(action).reason == "another window has the keyboard");
    CHECK(std::holds_alternative<NoAction>(station.wait(0.05)));  // told once
    CHECK(*station.interruption() == "another window has the keyboard");
    REQUIRE(others.focus_window("Isoseam"));
    CHECK(mended(station));

    Presentation presentation = endless([&](std::int64_t frame) {
        if (frame == 10)
            others.focus_window("Other");
        return flicker_lights({}, bright_and_dim(), frame);
    });
    presentation.end_frame = 600;
    PresentationProgress progress;
    CHECK(std::holds_alternative<Interrupted>(station.show_presentation(presentation, progress)));
    CHECK(progress.next_frame < 600);
}

TEST_CASE("a hidden window interrupts until it is shown again", "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    ScreenStation station(setup, video, on_screen());
    ScreenSettings others("");
    REQUIRE(others.show_window("Isoseam", false));
    const Action action = awaited(station);
    REQUIRE(std::holds_alternative<Interrupted>(action));
    CHECK_THAT(std::get<Interrupted>(action).reason,
               Catch::Contains("hidden") || Catch::Contains("keyboard"));
    CHECK(station.interruption());
    REQUIRE(others.show_window("Isoseam", true));
    others.focus_window("Isoseam");
    CHECK(mended(station));
}

TEST_CASE("a screen saver interrupts until it is off", "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    ScreenStation station(setup, video, on_screen());
    ScreenSettings others("");
    others.set_screen_saver(true);
    CHECK(std::get<Interrupted>(awaited(station)).reason == "the screen saver is on");
    others.set_screen_saver(false);
    CHECK(mended(station));
}

TEST_CASE("a window that is lost in the middle of a frame is opened anew and shows the very same light",
          "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    int failures = 0;
    ScreenOptions options = on_screen();
    options.before_swap = [&] {
        if (failures > 0) {
            --failures;
            throw MachineError("the graphics card was reset and lost the picture", "check it");
        }
    };
    ScreenStation station(setup, video, options);
    const ScreenPixels pixels;
    station.show_field(some_field());
    const std::array<unsigned, 3> before = middle(pixels);

    failures = 1;
    station.show_field(some_field());
    const Action action = awaited(station);
    REQUIRE(std::holds_alternative<Interrupted>(action));
    CHECK_THAT(std::get<Interrupted>(action).reason, Catch::Contains("the graphics card was reset"));
    station.show_page({"Please wait", {}, ""});  // nowhere to show it, and no error
    CHECK(mended(station));
    station.show_page({});
    CHECK(middle(pixels) != before);
    station.show_field(some_field());
    CHECK(middle(pixels) == before);
    CHECK(station.sources().front().bits == 8);

    failures = 1;
    PresentationProgress progress;
    CHECK(std::holds_alternative<Interrupted>(station.show_presentation(endless_flicker(), progress)));
    CHECK(progress.frames.shown == 0);
    CHECK(mended(station));
}

TEST_CASE("a compositing manager is asked to stay out of full screens, and told of when it runs",
          "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    const ScreenStation station(setup, video, on_screen());
    ScreenSettings others("");
    CHECK(station.compositor_warnings().empty());
    // Extended Window Manager Hints: 1 asks for no compositing.
    CHECK(others.window_property("Isoseam", "_NET_WM_BYPASS_COMPOSITOR") == 1);
    others.claim_compositing();
    REQUIRE(station.compositor_warnings().size() == 1);
    CHECK_THAT(station.compositor_warnings().front(),
               Catch::Contains("screen 0: a compositing manager runs"));
}
