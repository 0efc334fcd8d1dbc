#include "runner/screen/input_map.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "support/error_text.h"
#include "support/seats/moments.h"

using namespace isoseam;
using namespace isoseam::test;

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

std::string words_for(const StepTaken& step) {
    return std::to_string(step.axis) + (step.direction > 0 ? "+" : "-") + (step.coarse ? " coarse" : "");
}
std::string words_for(const Accepted&) {
    return "accept";
}
std::string words_for(const Escaped&) {
    return "escape";
}
std::string words_for(const Answered& answered) {
    const TrialResponse& response = answered.response;
    const bool has_value =
        response.kind == TrialResponse::Kind::place || response.kind == TrialResponse::Kind::rating;
    return to_string(response.kind) + (has_value ? " " + std::to_string(response.value) : "");
}
std::string words_for(const Moved& moved) {
    return moved.by > 0 ? "move +1" : "move -1";
}
std::string words_for(const Typed& typed) {
    return typed.character == '\b' ? "take back" : std::string("typed ") + typed.character;
}
std::string words_for(const NoAction&) {
    return "none";
}
// Keys and knobs never report these.
std::string words_for(const Interrupted&) {
    return "interrupted";
}
std::string words_for(const PresentationEnded&) {
    return "presentation ended";
}

std::string words(const Action& action) {
    return std::visit([](const auto& what) { return words_for(what); }, action);
}

InputMap map_for(const Expected& moment, KeySet keys = KeySet::both) {
    InputMap map(keys);
    map.expect(moment);
    return map;
}

// What the keys mean one after the other.
std::vector<std::string> meanings(InputMap& map, const std::vector<std::string>& keys) {
    std::vector<std::string> found;
    for (const std::string& name : keys)
        found.push_back(words(map.action(key(name))));
    return found;
}
using Meanings = std::vector<std::string>;

InputEvent knob_at(double position, bool shift = false) {
    InputEvent event = other(InputEvent::Kind::knob, "", position);
    event.shift = shift;
    return event;
}

// Net steps that a turn of the knob makes, all of them told.
int steps_of(InputMap& map, const InputEvent& event) {
    int net = 0;
    Action action = map.action(event);
    for (; std::holds_alternative<StepTaken>(action); action = map.pending_step())
        net += std::get<StepTaken>(action).direction;
    return net;
}

}  // namespace

TEST_CASE("keys move three axes, finely or with Shift coarsely") {
    InputMap map = map_for(adjusting(3));
    CHECK(words(map.action(key("Left"))) == "0-");
    CHECK(words(map.action(key("Right", true))) == "0+ coarse");
    CHECK(words(map.action(key("Down"))) == "1-");
    CHECK(words(map.action(key("Up"))) == "1+");
    CHECK(words(map.action(key("PageDown"))) == "2-");
    CHECK(words(map.action(key("PageUp", true))) == "2+ coarse");
    CHECK(words(map.action(key("X"))) == "none");
}

TEST_CASE("a held key moves on, but never accepts twice") {
    InputMap map = map_for(adjusting(1));
    CHECK(words(map.action(key("Right", false, true))) == "0+");
    CHECK(words(map.action(key("Space"))) == "accept");
    CHECK(words(map.action(key("Space", false, true))) == "none");
    CHECK(words(map.action(key("Escape", false, true))) == "none");
}

TEST_CASE("keys of axes that the protocol has not do nothing") {
    InputMap map = map_for(adjusting(1));
    CHECK(words(map.action(key("Up"))) == "none");
    CHECK(words(map.action(key("PageUp"))) == "none");
}

TEST_CASE("the wheel moves the axis moved last, and Tab goes on to the next") {
    InputMap map = map_for(adjusting(2));
    const InputEvent up = other(InputEvent::Kind::wheel, "", 1.0);
    CHECK(words(map.action(up)) == "0+");
    map.action(key("Down"));
    CHECK(words(map.action(up)) == "1+");
    map.action(key("Tab"));
    CHECK(words(map.action(other(InputEvent::Kind::wheel, "", -1.0))) == "0-");
}

TEST_CASE("a gamepad steps finely with its d-pad and coarsely with its stick, once per push") {
    InputMap map = map_for(adjusting(3));
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
    InputMap map = map_for(adjusting(1));
    CHECK(words(map.action(other(InputEvent::Kind::window_closed, ""))) == "escape");
}

TEST_CASE("each hand has its keys, alone or both at once") {
    InputMap left = map_for(adjusting(3), KeySet::left_hand);
    CHECK(meanings(left, {"A", "D", "S", "W", "Q", "E", "Left", "PageUp", "Space"}) ==
          Meanings{"0-", "0+", "1-", "1+", "2-", "2+", "none", "none", "accept"});
    CHECK(words(left.action(key("W", true))) == "1+ coarse");
    InputMap right = map_for(adjusting(3), KeySet::right_hand);
    CHECK(meanings(right, {"A", "Left"}) == Meanings{"none", "0-"});
    InputMap both = map_for(adjusting(3));
    CHECK(meanings(both, {"A", "Left"}) == Meanings{"0-", "0-"});
}

TEST_CASE("answers of each form have keys and buttons of their own, and nothing else counts") {
    InputMap map;
    map.expect(asking(AnswerForm::yes_no));
    CHECK(meanings(map, {"Left", "Right", "Space", "Up"}) == Meanings{"no", "yes", "none", "none"});
    CHECK(words(map.action(other(InputEvent::Kind::gamepad_button, "dpright"))) == "yes");
    map.expect(asking(AnswerForm::same_different));
    CHECK(meanings(map, {"A", "D"}) == Meanings{"same", "different"});
    map.expect(asking_where({"upper", "lower"}));
    CHECK(meanings(map, {"Up", "Down", "Left"}) == Meanings{"place 0", "place 1", "none"});
    map.expect(asking_where({"left", "upper", "lower", "right"}));
    CHECK(meanings(map, {"Left", "Up", "Down", "Right"}) ==
          Meanings{"place 0", "place 1", "place 2", "place 3"});
    CHECK(words(map.action(other(InputEvent::Kind::gamepad_axis, "lefty", -0.9))) == "place 1");
    map.expect(asking_where({"upper left", "upper right", "lower left", "lower right"}));
    CHECK(meanings(map, {"U", "I", "J", "K", "Q", "W", "A", "S", "Up"}) ==
          Meanings{"place 0", "place 1", "place 2", "place 3", "place 0", "place 1", "place 2", "place 3",
                   "none"});
    CHECK(words(map.action(other(InputEvent::Kind::gamepad_button, "rightshoulder"))) == "place 1");
    CHECK(words(map.action(other(InputEvent::Kind::gamepad_axis, "lefttrigger", 1.0))) == "place 2");
    map.expect(asking_where({"first", "second"}));
    CHECK(meanings(map, {"Left", "Right", "1"}) == Meanings{"place 0", "place 1", "none"});
    map.expect(asking_where({"first", "second", "third"}));
    CHECK(meanings(map, {"1", "Keypad 3", "Left"}) == Meanings{"place 0", "place 2", "none"});
    map.expect(rating(10));
    CHECK(meanings(map, {"1", "9", "0", "Keypad 5", "Left"}) ==
          Meanings{"rating 1", "rating 9", "rating 10", "rating 5", "none"});
    map.expect(rating(4));
    CHECK(meanings(map, {"4", "5", "0", "Escape"}) == Meanings{"rating 4", "none", "none", "escape"});
}

TEST_CASE("a held key never answers twice") {
    InputMap map = map_for(asking(AnswerForm::yes_no));
    CHECK(words(map.action(key("Right"))) == "yes");
    CHECK(words(map.action(key("Right", false, true))) == "none");
    CHECK(map.take_ignored() == 0);
}

TEST_CASE("a list is gone through by arrows or digits, and the space bar chooses") {
    InputMap map = map_for(choosing(3));
    CHECK(meanings(map, {"Down", "Up", "W", "2", "4", "Space", "Left"}) ==
          Meanings{"move +1", "move -1", "move -1", "typed 2", "none", "accept", "none"});
    CHECK(words(map.action(key("Down", false, true))) == "move +1");
    InputMap left = map_for(choosing(3), KeySet::left_hand);  // the page's foot names the arrow keys
    CHECK(meanings(left, {"Up", "W"}) == Meanings{"move -1", "move -1"});
    CHECK(words(map.action(other(InputEvent::Kind::gamepad_button, "dpdown"))) == "move +1");
}

TEST_CASE("numbers are typed with either row of digits and with what the layout says on its keys") {
    const auto labelled = [](const std::string& place, const std::string& label, bool shift = false) {
        InputEvent event = key(place, shift);
        event.label = label;
        return event;
    };
    InputMap map = map_for(typing(-10.0, 10.0));
    CHECK(meanings(map, {"1", "Keypad 0", "Keypad .", "Keypad -", "Backspace", "Return", "E"}) ==
          Meanings{"typed 1", "typed 0", "typed .", "typed -", "take back", "accept", "none"});
    CHECK(words(map.action(labelled(",", ","))) == "typed .");
    CHECK(words(map.action(labelled("/", "-"))) == "typed -");  // a German keyboard's minus
    // A French keyboard has '-' on the key of the 6, which is a 6 with Shift.
    CHECK(words(map.action(labelled("6", "-"))) == "typed -");
    CHECK(words(map.action(labelled("6", "-", true))) == "typed 6");
    map.expect(typing(0.0, 10.0));
    CHECK(words(map.action(labelled("6", "-"))) == "typed 6");
    CHECK(words(map.action(labelled("/", "-"))) == "none");
}

TEST_CASE("presses that mean nothing are counted, but not repeats, keys that go with others, and turns") {
    InputMap map = map_for(asking(AnswerForm::yes_no));
    meanings(map, {"Up", "X", "Space", "Tab"});
    map.action(key("X", false, true));
    meanings(map, {"Left Shift", "Right Ctrl", "CapsLock"});
    map.action(other(InputEvent::Kind::wheel, "", 1.0));
    map.action(knob_at(0.5));
    map.action(other(InputEvent::Kind::gamepad_axis, "leftx", 0.2));
    CHECK(map.take_ignored() == 4);
    CHECK(map.take_ignored() == 0);
    map.action(other(InputEvent::Kind::gamepad_button, "x"));
    map.action(other(InputEvent::Kind::gamepad_axis, "rightx", 1.0));
    CHECK(map.take_ignored() == 2);
    map.expect(adjusting(2));
    meanings(map, {"Tab", "PageUp"});
    CHECK(map.take_ignored() == 1);
}

TEST_CASE("what is forgotten counts once, and an escape is told instead") {
    InputMap map = map_for(asking(AnswerForm::yes_no));
    CHECK_FALSE(map.forget(key("Right")));
    CHECK_FALSE(map.forget(key("X")));
    CHECK_FALSE(map.forget(key("Right", false, true)));
    CHECK(map.take_ignored() == 2);
    CHECK(map.forget(key("Escape")));
    CHECK(map.take_ignored() == 0);
    map.expect(adjusting(1));
    CHECK_FALSE(map.forget(other(InputEvent::Kind::wheel, "", 1.0)));
    CHECK_FALSE(map.forget(key("Right", false, true)));
    CHECK(map.take_ignored() == 0);
}

TEST_CASE("a knob moves the axis moved last by a fine step for each hundredth of its travel") {
    InputMap map = map_for(adjusting(2));
    CHECK(words(map.action(knob_at(0.5))) == "none");  // only tells where it stands
    CHECK(words(map.action(knob_at(0.521))) == "0+");
    map.action(key("Up"));
    CHECK(words(map.action(knob_at(0.542))) == "1+");
    CHECK(words(map.action(knob_at(0.518, true))) == "1- coarse");
    CHECK(steps_of(map, knob_at(0.722)) == 10);
    // It trembles: a step back needs a whole step.
    CHECK(steps_of(map, knob_at(0.705)) == 0);
    CHECK(steps_of(map, knob_at(0.72)) == 0);
}

TEST_CASE("a knob without ends goes through its end, and there and back is nowhere else") {
    InputMap map = map_for(adjusting(1));
    steps_of(map, knob_at(0.95));
    CHECK(steps_of(map, knob_at(-0.949)) == 5);
    CHECK(steps_of(map, knob_at(0.949)) == -5);
    int net = 0;
    double position = 0.95;
    for (int turn = 0; turn < 300; ++turn) {  // three times around
        position += 0.02;
        if (position > 1.0)
            position -= 2.0;
        net += steps_of(map, knob_at(position));
    }
    CHECK(std::abs(net - 300) <= 1);  // a step may stand at its very edge
}

TEST_CASE("a knob that is turned when it means nothing, or is plugged in again, moves nothing later") {
    InputMap map = map_for(adjusting(1));
    steps_of(map, knob_at(0.0));
    map.expect({});
    CHECK(steps_of(map, knob_at(0.5)) == 0);
    map.expect(adjusting(1));
    CHECK(steps_of(map, knob_at(0.501)) == 0);
    map.action(knob_at(0.9));  // and its other steps are not waited for
    map.expect(adjusting(1));
    CHECK(words(map.pending_step()) == "none");
    map.action(other(InputEvent::Kind::knob_removed, ""));
    CHECK(steps_of(map, knob_at(-0.3)) == 0);
}

TEST_CASE("a knob is named by two numbers") {
    CHECK(parse_knob("1:12").device == 1);
    CHECK(parse_knob("1:12").axis == 12);
    for (const std::string words : {"", "1", "1:", ":2", "a:2", "1:-2", "1:2:3", "1 :2", "99999999999:0"}) {
        CAPTURE(words);
        CHECK(
            input_error_text([&] { parse_knob(words); }) ==
            "--knob: '" + words +
                "' names no axis of a device; write DEVICE:AXIS, such as 0:2, with the numbers that 'isoseam "
                "session devices' lists");
    }
}
