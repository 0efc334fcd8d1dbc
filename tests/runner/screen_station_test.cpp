// A person's place on a virtual screen: frames, the stop key, and what goes wrong with windows.

#include "runner/screen_station.h"

#include <SDL.h>
#include <fmt/format.h>

#include <array>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <memory>
#include <vector>

#include "colorimetry/errors.h"
#include "flicker_run.h"
#include "moments.h"
#include "support/screen_pixels.h"
#include "support/screen_settings.h"
#include "support/virtual_screen.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

constexpr double kPatienceSeconds = 10.0;

ScreenOptions on_screen() {
    ScreenOptions options;
    options.screen_of_source = {0};
    options.despite_unsynchronised = true;
    return options;
}

Presentation endless(std::function<FieldLights(std::int64_t)> lights) {
    return {std::move(lights), {}, std::nullopt};
}

Presentation endless_flicker() {
    Flicker flicker;
    flicker.rate = {FlickerForm::square, 4};
    return flicker_presentation(flicker, bright_and_dim());
}

// The next action that is one; Kind::none after a while without.
Action awaited(Station& station) {
    const double until_s = station.now_s() + kPatienceSeconds;
    while (station.now_s() < until_s) {
        const Action action = station.wait(0.1);
        if (action.kind != Action::Kind::none)
            return action;
    }
    return {};
}

bool mended(Station& station) {
    const double until_s = station.now_s() + kPatienceSeconds;
    while (station.now_s() < until_s) {
        if (!station.interruption())
            return true;
        static_cast<void>(station.wait(0.05));
    }
    return false;
}

void send(const std::string& action) {
    REQUIRE(std::system(fmt::format("xdotool {}", action).c_str()) == 0);
}

FieldLights some_field() {
    return flicker_lights({}, bright_and_dim(), 0);
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
    CHECK(record.clock->period_ms == Approx(1e3 / 60.0));
    CHECK(record.clock->spread_ms >= 0.0);
    CHECK(*record.clock->input_interval_ms > 8.0);  // once a frame; a busy machine looks less often
    CHECK(*record.clock->latency_ms == 22.0);
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
        CHECK(action.kind == Action::Kind::escape);
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
    CHECK(action.kind == Action::Kind::step);
    CHECK(station.show_presentation(presentation, progress).kind == Action::Kind::ended);
    CHECK(asked == std::vector<std::int64_t>{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11});
    CHECK(progress.frames.shown == 12);
    CHECK(progress.frames.late >= 1);  // xdotool needs longer than a frame
    progress.pause();
    presentation.end_frame = 14;
    const std::int64_t dropped = progress.frames.dropped;
    std::this_thread::sleep_for(std::chrono::seconds(1));  // 60 refreshes
    CHECK(station.show_presentation(presentation, progress).kind == Action::Kind::ended);
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
    CHECK(station.show_presentation(presentation, progress).kind == Action::Kind::ended);
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
    CHECK(action.kind == Action::Kind::interrupted);
    CHECK(action.reason == "another window has the keyboard");
    CHECK(station.wait(0.05).kind == Action::Kind::none);  // told once
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
    CHECK(station.show_presentation(presentation, progress).kind == Action::Kind::interrupted);
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
    CHECK(action.kind == Action::Kind::interrupted);
    CHECK_THAT(action.reason, Catch::Contains("hidden") || Catch::Contains("keyboard"));
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
    CHECK(awaited(station).reason == "the screen saver is on");
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
    CHECK(action.kind == Action::Kind::interrupted);
    CHECK_THAT(action.reason, Catch::Contains("the graphics card was reset"));
    station.show_page({"Please wait", {}, ""});  // nowhere to show it, and no error
    CHECK(mended(station));
    station.show_page({});
    CHECK(middle(pixels) != before);
    station.show_field(some_field());
    CHECK(middle(pixels) == before);
    CHECK(station.sources().front().bits == 8);

    failures = 1;
    PresentationProgress progress;
    CHECK(station.show_presentation(endless_flicker(), progress).kind == Action::Kind::interrupted);
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

TEST_CASE("answers of every form are heard at a field, and what means nothing is counted", "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    ScreenStation station(setup, video, on_screen());
    const auto answer_to = [&](const Expected& moment, const std::string& keys) {
        station.expect(moment);
        station.show_field(some_field());
        send("key " + keys);
        const Action action = awaited(station);
        CHECK(action.kind == Action::Kind::answer);
        return action.answer;
    };
    CHECK(answer_to(asking(AnswerForm::yes_no), "Right").kind == TrialResponse::Kind::yes);
    CHECK(answer_to(asking(AnswerForm::same_different), "d").kind == TrialResponse::Kind::different);
    CHECK(answer_to(asking_where({"upper", "lower"}), "Down").value == 1);
    CHECK(answer_to(asking_where({"left", "upper", "lower", "right"}), "w").value == 1);
    CHECK(answer_to(asking_where({"upper left", "upper right", "lower left", "lower right"}), "k").value ==
          3);
    CHECK(answer_to(asking_where({"first", "second"}), "Left").value == 0);
    CHECK(station.take_ignored_presses() == 0);
    CHECK(answer_to(rating(5), "space Left x 6 Shift_L 5").value == 5);
    CHECK(station.take_ignored_presses() == 4);
}

TEST_CASE("an answer within a presentation ends its frames there", "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    ScreenStation station(setup, video, on_screen());
    station.expect(asking_where({"first", "second"}));
    Presentation presentation = endless([&](std::int64_t frame) {
        if (frame == 3)
            send("key space");
        if (frame == 6)
            send("key Right");
        return flicker_lights({}, bright_and_dim(), frame);
    });
    PresentationProgress progress;
    const Action action = station.show_presentation(presentation, progress);
    CHECK(action.kind == Action::Kind::answer);
    CHECK(action.answer.value == 1);
    CHECK(progress.next_frame >= 7);
    CHECK(progress.next_frame <= 9);
    CHECK(station.take_ignored_presses() == 1);
}

TEST_CASE("a list is gone through and a number is typed on pages that show it", "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    ScreenStation station(setup, video, on_screen());
    const ScreenPixels pixels;
    const auto shown = [&](const Instruction& page) {
        station.show_page(page);
        return pixels.block(0, 0, 1280, 800);
    };
    Instruction list{"Which?", {}, ""};
    list.choices = {"this", "that"};
    station.expect(choosing(2));
    const auto none_chosen = shown(list);
    send("key Down 2 space");
    CHECK(awaited(station).move == 1);
    CHECK(awaited(station).typed == '2');
    CHECK(awaited(station).kind == Action::Kind::accept);
    list.chosen = 1;
    CHECK((shown(list) != none_chosen));

    const auto without_box = shown({"How old?", {}, ""});
    station.expect(typing(18.0, 99.0));
    CHECK((shown({"How old?", {}, ""}) != without_box));
    send("key 3 KP_5 period BackSpace minus Return");
    std::string typed;
    Action action = awaited(station);
    for (; action.kind == Action::Kind::typed; action = awaited(station))
        typed += action.typed;
    CHECK(typed == "35.\b");
    CHECK(action.kind == Action::Kind::accept);
    CHECK(station.take_ignored_presses() == 1);
}

TEST_CASE("presses before their moment are forgotten and counted, but an escape counts", "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    ScreenStation station(setup, video, on_screen());
    station.expect(adjusting(1));
    send("key Right Left Escape space");
    std::this_thread::sleep_for(std::chrono::milliseconds(100));
    station.forget_presses();
    CHECK(station.take_ignored_presses() == 3);
    CHECK(awaited(station).kind == Action::Kind::escape);
    CHECK(station.wait(0.1).kind == Action::Kind::none);
}

TEST_CASE(
    "in the largest type a long instruction goes on over several screens, and only the last one is "
    "accepted",
    "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    ScreenOptions options = on_screen();
    options.text_size = 1.8;
    options.phrases = std::make_shared<const Phrases>(Phrases::read("de"));
    ScreenStation station(setup, video, options);
    const ScreenPixels pixels;
    const std::string paragraph(
        "Take as long as you like, look at the middle of the field, and say when both halves of it look the "
        "same to you. If they never do, set them as alike as you can.");
    std::vector<std::string> paragraphs;
    for (int i = 0; i < 10; ++i)
        paragraphs.push_back(std::to_string(i) + ". " + paragraph);
    station.show_page({"Your task", paragraphs, "foot"});
    std::vector<std::vector<std::array<unsigned, 3>>> seen;
    Action action;
    while (action.kind == Action::Kind::none && seen.size() < 10) {
        seen.push_back(pixels.block(0, 0, 1280, 800));
        send("key space");
        action = station.wait(0.5);
    }
    CHECK(action.kind == Action::Kind::accept);
    CHECK(seen.size() >= 2);
    CHECK(seen.size() < 10);
    for (std::size_t i = 1; i < seen.size(); ++i)
        CHECK((seen[i] != seen[i - 1]));
    CHECK(station.key_hints({}).front().keys == std::vector<std::string>{"Leertaste"});
}

TEST_CASE("a knob steps, and one that is unplugged interrupts until it is back", "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    const int device = SDL_JoystickAttachVirtual(SDL_JOYSTICK_TYPE_THROTTLE, 2, 0, 0);
    REQUIRE(device >= 0);
    SDL_Joystick* joystick = SDL_JoystickOpen(device);
    ScreenOptions options = on_screen();
    options.knob = KnobAxis{device, 1};
    ScreenStation station(setup, video, options);
    station.expect(adjusting(2));
    CHECK(station.wait(0.1).kind == Action::Kind::none);
    SDL_JoystickSetVirtualAxis(joystick, 1, 1000);  // three hundredths of half the travel
    const Action action = awaited(station);
    CHECK(action.kind == Action::Kind::step);
    CHECK(action.step.axis == 0);
    CHECK(action.step.direction == 1);
    SDL_JoystickClose(joystick);
    SDL_JoystickDetachVirtual(device);
    CHECK(awaited(station).reason == "the knob was unplugged");
    REQUIRE(SDL_JoystickAttachVirtual(SDL_JOYSTICK_TYPE_THROTTLE, 2, 0, 0) >= 0);
    CHECK(mended(station));
    SDL_JoystickDetachVirtual(0);
}

TEST_CASE("sounds are made where they are wanted, and without a sound device the session is warned",
          "[screen]") {
    const VirtualScreen screen(1280, 800, 24);
    screen.use();
    const Setup setup = one_screen_setup();
    VideoSystem video;
    ScreenOptions options = on_screen();
    options.sounds = true;
    setenv("SDL_AUDIODRIVER", "dummy", 1);
    {
        ScreenStation station(setup, video, options);
        CHECK(station.sound_warnings().empty());
        for (const Sound sound : {Sound::accepted, Sound::interval, Sound::right, Sound::wrong})
            CHECK_NOTHROW(station.sound(sound));
    }
    setenv("SDL_AUDIODRIVER", "nothing", 1);
    ScreenStation station(setup, video, options);
    REQUIRE(station.sound_warnings().size() == 1);
    CHECK_THAT(station.sound_warnings().front(), Catch::StartsWith("no sound: "));
    CHECK_NOTHROW(station.sound(Sound::accepted));
    unsetenv("SDL_AUDIODRIVER");
}
