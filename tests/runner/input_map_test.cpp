#include "runner/input_map.h"

#include <catch2/catch.hpp>

using namespace isoseam;

namespace {

InputEvent key(const std::string& name, bool shift = false, bool repeat = false) {
    InputEvent event;
    event.kind = InputEvent::Kind::key_down;
    event.name = name;
    event.shift = shift;
    event.repeat = repeat;
    return event;
}

InputEvent other(InputEvent::Kind kind, const std::string& name, double value = 0.0) {
    InputEvent event;
    event.kind = kind;
    event.name = name;
    event.value = value;
    return event;
}

std::string words(const Action& action) {
    switch (action.kind) {
        case Action::Kind::accept:
            return "accept";
        case Action::Kind::escape:
            return "escape";
        case Action::Kind::step:
            return std::to_string(action.step.axis) + (action.step.direction > 0 ? "+" : "-") +
                   (action.step.coarse ? " coarse" : "");
        default:
            return "none";
    }
}

}  // namespace

TEST_CASE("keys move three axes, finely or with Shift coarsely") {
    InputMap map(3);
    CHECK(words(map.action(key("Left"))) == "0-");
    CHECK(words(map.action(key("Right", true))) == "0+ coarse");
    CHECK(words(map.action(key("Down"))) == "1-");
    CHECK(words(map.action(key("Up"))) == "1+");
    CHECK(words(map.action(key("PageDown"))) == "2-");
    CHECK(words(map.action(key("PageUp", true))) == "2+ coarse");
    CHECK(words(map.action(key("A"))) == "none");
}

TEST_CASE("a held key moves on, but never accepts twice") {
    InputMap map(1);
    CHECK(words(map.action(key("Right", false, true))) == "0+");
    CHECK(words(map.action(key("Space"))) == "accept");
    CHECK(words(map.action(key("Space", false, true))) == "none");
    CHECK(words(map.action(key("Escape", false, true))) == "none");
}

TEST_CASE("keys of axes that the protocol has not do nothing") {
    InputMap map(1);
    CHECK(words(map.action(key("Up"))) == "none");
    CHECK(words(map.action(key("PageUp"))) == "none");
}

TEST_CASE("the wheel moves the axis moved last, and Tab goes on to the next") {
    InputMap map(2);
    const InputEvent up = other(InputEvent::Kind::wheel, "", 1.0);
    CHECK(words(map.action(up)) == "0+");
    map.action(key("Down"));
    CHECK(words(map.action(up)) == "1+");
    map.action(key("Tab"));
    CHECK(words(map.action(other(InputEvent::Kind::wheel, "", -1.0))) == "0-");
}

TEST_CASE("a gamepad steps finely with its d-pad and coarsely with its stick, once per push") {
    InputMap map(3);
    CHECK(words(map.action(other(InputEvent::Kind::gamepad_button, "dpup"))) == "1+");
    CHECK(words(map.action(other(InputEvent::Kind::gamepad_button, "leftshoulder"))) == "2-");
    CHECK(words(map.action(other(InputEvent::Kind::gamepad_button, "a"))) == "accept");
    CHECK(words(map.action(other(InputEvent::Kind::gamepad_button, "back"))) == "escape");
    CHECK(words(map.action(other(InputEvent::Kind::gamepad_axis, "leftx", 0.5))) == "none");
    CHECK(words(map.action(other(InputEvent::Kind::gamepad_axis, "leftx", 0.9))) == "0+ coarse");
    CHECK(words(map.action(other(InputEvent::Kind::gamepad_axis, "leftx", 1.0))) == "none");
    CHECK(words(map.action(other(InputEvent::Kind::gamepad_axis, "leftx", 0.1))) == "none");
    CHECK(words(map.action(other(InputEvent::Kind::gamepad_axis, "leftx", -0.9))) == "0- coarse");
    CHECK(words(map.action(other(InputEvent::Kind::gamepad_axis, "lefty", -0.9))) == "1+ coarse");  // up
    CHECK(words(map.action(other(InputEvent::Kind::gamepad_axis, "righttrigger", 1.0))) == "2+ coarse");
}

TEST_CASE("closing the window pauses like Escape, so that nothing is thrown away by a slip") {
    InputMap map(1);
    CHECK(words(map.action(other(InputEvent::Kind::window_closed, ""))) == "escape");
}
