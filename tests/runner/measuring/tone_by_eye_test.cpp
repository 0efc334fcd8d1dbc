// The loop at a virtual screen, with key presses that wait in the system's queue.

#include "runner/measuring/tone_by_eye.h"

#include <SDL.h>

#include <catch2/catch.hpp>
#include <cmath>

#include "support/virtual_screen.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

InputEvent key(const std::string& name, bool shift = false) {
    InputEvent event;
    event.name = name;
    event.shift = shift;
    return event;
}

void press(SDL_Scancode code, int times = 1) {
    for (int i = 0; i < times; ++i) {
        SDL_Event event{};
        event.type = SDL_KEYDOWN;
        event.key.keysym.scancode = code;
        SDL_PushEvent(&event);
    }
}

PresenterOptions window() {
    PresenterOptions options;
    options.full_screen = false;
    options.width_px = 240;
    options.height_px = 240;
    return options;
}

}  // namespace

TEST_CASE("a patch moves by one code, by ten with shift, and never to black or full") {
    CHECK(stepped_code(100, key("Up"), 255) == 101);
    CHECK(stepped_code(100, key("Down"), 255) == 99);
    CHECK(stepped_code(100, key("Up", true), 255) == 110);
    CHECK(stepped_code(250, key("Up", true), 255) == 254);
    CHECK(stepped_code(3, key("Down", true), 255) == 1);
    CHECK(stepped_code(100, key("Left"), 255) == 100);
    InputEvent wheel = key("Up");
    wheel.kind = InputEvent::Kind::wheel;
    CHECK(stepped_code(100, wheel, 255) == 100);
}

TEST_CASE("the tone curve follows from the codes that were accepted") {
    const VirtualScreen screen(320, 300, 24);
    screen.use();
    VideoSystem video;
    Presenter presenter(video, window());
    // From 0.4, 0.6 and 0.8 of 255: 102, 153 and 204.
    press(SDL_SCANCODE_SPACE);
    press(SDL_SCANCODE_UP, 34);  // 136
    press(SDL_SCANCODE_RETURN);
    press(SDL_SCANCODE_UP, 33);  // 186
    press(SDL_SCANCODE_SPACE);
    press(SDL_SCANCODE_UP, 21);
    press(SDL_SCANCODE_DOWN);  // 224
    press(SDL_SCANCODE_SPACE);
    const std::optional<ToneByEye> tone = tone_by_eye(video, presenter);
    REQUIRE(tone);
    const ToneByEye expected = tone_from_line_patterns({136.0 / 255.0, 186.0 / 255.0, 224.0 / 255.0});
    CHECK(tone->exponent == expected.exponent);
    CHECK(tone->exponent == Approx(2.2).margin(0.05));
}

TEST_CASE("whoever leaves gives no tone curve") {
    const VirtualScreen screen(320, 300, 24);
    screen.use();
    VideoSystem video;
    Presenter presenter(video, window());
    press(SDL_SCANCODE_ESCAPE);
    CHECK_FALSE(tone_by_eye(video, presenter));
    press(SDL_SCANCODE_SPACE);
    press(SDL_SCANCODE_SPACE);
    press(SDL_SCANCODE_ESCAPE);
    CHECK_FALSE(tone_by_eye(video, presenter));
}
