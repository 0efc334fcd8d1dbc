// What the participant does, from a real X server and from virtual game controllers to events.

#include <SDL.h>
#include <fmt/format.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>

#include "stimuli/gl/presenter.h"
#include "support/virtual_screen.h"

using namespace isoseam;

namespace {

using Kind = InputEvent::Kind;

// The first event of this kind; fails after five seconds.
InputEvent awaited(VideoSystem& video, Kind kind) {
    const double deadline_s = steady_seconds() + 5.0;
    while (steady_seconds() < deadline_s) {
        const std::optional<InputEvent> event = video.next_event(0.1);
        if (event && event->kind == kind)
            return *event;
    }
    FAIL("no event of kind " << static_cast<int>(kind));
    return {};
}

// Key and button events by the X server's own test extension.
void send(const std::string& action) {
    REQUIRE(std::system(fmt::format("xdotool {}", action).c_str()) == 0);
}

PresenterOptions window() {
    PresenterOptions options;
    options.full_screen = false;
    options.width_px = 300;
    options.height_px = 200;
    return options;
}

}  // namespace

TEST_CASE("keys and the wheel arrive by name") {
    const test::VirtualScreen screen(400, 300, 24);
    screen.use();
    VideoSystem video;
    Presenter presenter(video, window());
    presenter.show(Page{});
    send("mousemove 190 140");
    while (video.next_event(0.2)) {
    }

    const double before_s = steady_seconds();
    send("key Left");
    const InputEvent left = awaited(video, Kind::key_down);
    CHECK(left.name == "Left");
    CHECK_FALSE(left.shift);
    CHECK_FALSE(left.repeat);
    CHECK(left.time_s >= before_s - 0.002);  // SDL's clock counts milliseconds
    CHECK(left.time_s <= steady_seconds());

    send("key space");
    CHECK(awaited(video, Kind::key_down).name == "Space");
    send("keydown shift");
    send("key Up");
    CHECK(awaited(video, Kind::key_down).name == "Left Shift");
    const InputEvent up = awaited(video, Kind::key_down);
    CHECK(up.name == "Up");
    CHECK(up.shift);
    send("click 4");
    const InputEvent away = awaited(video, Kind::wheel);
    CHECK(away.value == 1.0);
    CHECK(away.shift);
    send("keyup shift");
    send("click 5");
    const InputEvent towards = awaited(video, Kind::wheel);
    CHECK(towards.value == -1.0);
    CHECK_FALSE(towards.shift);
}

TEST_CASE("waiting for an event ends when nothing happens") {
    const test::VirtualScreen screen(400, 300, 24);
    screen.use();
    VideoSystem video;
    while (video.next_event(0.0)) {
    }
    const double start_s = steady_seconds();
    CHECK_FALSE(video.next_event(0.05));
    constexpr double kTwoTicksSeconds = 0.002;  // SDL waits in whole milliseconds of its own clock
    CHECK(steady_seconds() - start_s >= 0.05 - kTwoTicksSeconds);
}

TEST_CASE("a game controller that is plugged in is read, and its leaving is told") {
    const test::VirtualScreen screen(400, 300, 24);
    screen.use();
    VideoSystem video;
    CHECK(video.gamepads().empty());
    const int device = SDL_JoystickAttachVirtual(SDL_JOYSTICK_TYPE_GAMECONTROLLER, SDL_CONTROLLER_AXIS_MAX,
                                                 SDL_CONTROLLER_BUTTON_MAX, 0);
    REQUIRE(device >= 0);
    CHECK(!awaited(video, Kind::gamepad_added).name.empty());
    CHECK(video.gamepads().size() == 1);
    CHECK(video.unknown_gamepads().empty());

    SDL_Joystick* joystick = SDL_JoystickOpen(device);
    REQUIRE(joystick != nullptr);
    SDL_JoystickSetVirtualButton(joystick, SDL_CONTROLLER_BUTTON_DPAD_UP, 1);
    CHECK(awaited(video, Kind::gamepad_button).name == "dpup");
    SDL_JoystickSetVirtualButton(joystick, SDL_CONTROLLER_BUTTON_A, 1);
    CHECK(awaited(video, Kind::gamepad_button).name == "a");
    SDL_JoystickSetVirtualAxis(joystick, SDL_CONTROLLER_AXIS_LEFTX, -32768);
    const InputEvent left = awaited(video, Kind::gamepad_axis);
    CHECK(left.name == "leftx");
    CHECK(left.value == -1.0);
    SDL_JoystickSetVirtualAxis(joystick, SDL_CONTROLLER_AXIS_LEFTX, 32767);
    CHECK(awaited(video, Kind::gamepad_axis).value == 1.0);

    SDL_JoystickClose(joystick);
    REQUIRE(SDL_JoystickDetachVirtual(device) == 0);
    awaited(video, Kind::gamepad_removed);
    CHECK(video.gamepads().empty());
}

TEST_CASE("a controller whose buttons SDL does not know is listed as unknown") {
    const test::VirtualScreen screen(400, 300, 24);
    screen.use();
    VideoSystem video;
    const int device = SDL_JoystickAttachVirtual(SDL_JOYSTICK_TYPE_THROTTLE, 2, 4, 0);
    REQUIRE(device >= 0);
    CHECK(video.gamepads().empty());
    CHECK(video.unknown_gamepads().size() == 1);
    SDL_JoystickDetachVirtual(device);
}

TEST_CASE("closing the window is told once") {
    const test::VirtualScreen screen(400, 300, 24);
    screen.use();
    VideoSystem video;
    const Presenter presenter(video, window());
    SDL_Event close{};
    close.type = SDL_WINDOWEVENT;
    close.window.event = SDL_WINDOWEVENT_CLOSE;
    SDL_PushEvent(&close);
    awaited(video, Kind::window_closed);
    int more = 0;
    while (const std::optional<InputEvent> event = video.next_event(0.05))
        more += event->kind == Kind::window_closed ? 1 : 0;
    CHECK(more == 0);
}

TEST_CASE("one video system follows another, one at a time") {
    const test::VirtualScreen first(400, 300, 24);
    first.use();
    {
        const VideoSystem video;
        CHECK_THROWS_WITH(VideoSystem(), Catch::Contains("two VideoSystems at once"));
        CHECK(video.screen_count() == 1);
    }
    const test::VirtualScreen second(500, 350, 24);
    second.use();
    VideoSystem video;
    const Presenter presenter(video, PresenterOptions{});
    CHECK(presenter.info().width_px == 500);
}
