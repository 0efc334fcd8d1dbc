// What the participant does, from a real X server and from virtual game controllers to events.

#include <SDL.h>
#include <fmt/format.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>

#include "stimuli/gl/presenter.h"
#include "support/screen_settings.h"
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

TEST_CASE("a knob on a device that SDL knows nothing of tells where it stands, and when it is unplugged") {
    const test::VirtualScreen screen(400, 300, 24);
    screen.use();
    VideoSystem video;
    const int device = SDL_JoystickAttachVirtual(SDL_JOYSTICK_TYPE_THROTTLE, 3, 4, 0);
    REQUIRE(device >= 0);
    SDL_Joystick* joystick = SDL_JoystickOpen(device);
    REQUIRE(joystick != nullptr);
    REQUIRE(video.input_devices().size() == 1);
    CHECK(video.input_devices()[0].axes == 3);
    CHECK(video.input_devices()[0].buttons == 4);
    CHECK_FALSE(video.input_devices()[0].is_gamepad);
    SDL_JoystickSetVirtualAxis(joystick, 1, 8192);

    video.listen_to(device, 1);
    const InputEvent stands = awaited(video, Kind::knob);
    CHECK(stands.device == device);
    CHECK(stands.axis == 1);
    CHECK(stands.value == Approx(0.25).margin(0.001));
    SDL_JoystickSetVirtualAxis(joystick, 0, 20000);  // another axis
    SDL_JoystickSetVirtualAxis(joystick, 1, -32768);
    InputEvent moved = awaited(video, Kind::knob);
    while (moved.value > -1.0)  // SDL tells first where it stood when the device was opened
        moved = awaited(video, Kind::knob);
    CHECK(moved.axis == 1);
    CHECK(video.hears_all());

    SDL_JoystickClose(joystick);
    REQUIRE(SDL_JoystickDetachVirtual(device) == 0);
    awaited(video, Kind::knob_removed);
    CHECK_FALSE(video.hears_all());
    const int again = SDL_JoystickAttachVirtual(SDL_JOYSTICK_TYPE_THROTTLE, 3, 4, 0);
    REQUIRE(again >= 0);
    CHECK(awaited(video, Kind::knob).value == Approx(0.0).margin(0.001));  // where it stands now
    CHECK(video.hears_all());
    SDL_JoystickDetachVirtual(again);
}

TEST_CASE("an axis of a gamepad that is the knob is no stick any more") {
    const test::VirtualScreen screen(400, 300, 24);
    screen.use();
    VideoSystem video;
    const int device = SDL_JoystickAttachVirtual(SDL_JOYSTICK_TYPE_GAMECONTROLLER, SDL_CONTROLLER_AXIS_MAX,
                                                 SDL_CONTROLLER_BUTTON_MAX, 0);
    REQUIRE(device >= 0);
    awaited(video, Kind::gamepad_added);
    SDL_Joystick* joystick = SDL_JoystickOpen(device);
    video.listen_to(device, SDL_CONTROLLER_AXIS_LEFTY);
    awaited(video, Kind::knob);
    SDL_JoystickSetVirtualAxis(joystick, SDL_CONTROLLER_AXIS_LEFTY, 30000);
    SDL_JoystickSetVirtualAxis(joystick, SDL_CONTROLLER_AXIS_LEFTX, -30000);
    int knobs = 0;
    std::vector<std::string> sticks;
    while (const std::optional<InputEvent> event = video.next_event(0.3)) {
        knobs += event->kind == Kind::knob ? 1 : 0;
        if (event->kind == Kind::gamepad_axis && (sticks.empty() || sticks.back() != event->name))
            sticks.push_back(event->name);
    }
    CHECK(knobs >= 1);
    CHECK(sticks == std::vector<std::string>{"leftx"});
    SDL_JoystickClose(joystick);
    SDL_JoystickDetachVirtual(device);
}

TEST_CASE("a knob that is not there is told with what there is") {
    const test::VirtualScreen screen(400, 300, 24);
    screen.use();
    VideoSystem video;
    CHECK_THROWS_WITH(video.listen_to(0, 0),
                      "knob: there is no device 0: none is attached; take the numbers that 'isoseam session "
                      "devices' lists, and turn the knob to see which axis it is");
    const int device = SDL_JoystickAttachVirtual(SDL_JOYSTICK_TYPE_THROTTLE, 2, 4, 0);
    REQUIRE(device >= 0);
    CHECK_THROWS_WITH(video.listen_to(1, 0), Catch::Contains("there is no device 1: 1 attached"));
    CHECK_THROWS_WITH(video.listen_to(0, 2), Catch::Contains("knob: device 0, '") &&
                                                 Catch::Contains("has 2 axes, and none of number 2"));
    SDL_JoystickDetachVirtual(device);
}

TEST_CASE("keys are labelled as the layout that is set has them, wherever they lie") {
    const test::VirtualScreen screen(400, 300, 24);
    screen.use();
    const test::ScreenSettings kept("");  // as long as somebody is connected
    const auto label_of_w = [](const char* layout) {
        REQUIRE(std::system(fmt::format("setxkbmap {}", layout).c_str()) == 0);
        VideoSystem video;
        Presenter presenter(video, window());
        while (video.next_event(0.2)) {
        }
        CHECK(video.key_label("Left") == "Left");
        CHECK(video.key_label("no such key") == "no such key");
        return video.key_label("W");
    };
    CHECK(label_of_w("us") == "W");
    CHECK(label_of_w("fr") == "Z");
}
