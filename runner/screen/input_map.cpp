#include "runner/screen/input_map.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>
#include <utility>

namespace isoseam {
namespace {

// A stick must pass this share of its travel to count, and come back below the other before it counts again.
constexpr double kStickOut = 0.6;
constexpr double kStickBack = 0.3;

// Keys that only go with others, or set the keyboard.
bool goes_with_others(const std::string& key) {
    constexpr std::array<std::string_view, 12> kNames{"Left Shift", "Right Shift", "Left Ctrl", "Right Ctrl",
                                                      "Left Alt",   "Right Alt",   "Left GUI",  "Right GUI",
                                                      "ModeSwitch", "CapsLock",    "Numlock",   "ScrollLock"};
    return std::find(kNames.begin(), kNames.end(), key) != kNames.end();
}

}  // namespace

void InputMap::expect(const Expected& expected) {
    keys_.clear();
    buttons_.clear();
    sticks_.clear();
    axis_count_ = 0;
    knob_steps_ = 0;
    for (const Binding& binding : bindings(expected)) {
        for (const std::string& key : binding.keys)
            keys_.emplace(key, binding);
        for (const std::string& key : binding.right_hand) {
            if (key_set_ != KeySet::left_hand)
                keys_.emplace(key, binding);
        }
        for (const std::string& key : binding.left_hand) {
            if (key_set_ != KeySet::right_hand)
                keys_.emplace(key, binding);
        }
        for (const std::string& button : binding.buttons)
            buttons_.emplace(button, binding);
        if (!binding.stick.empty())
            sticks_.emplace(std::pair(binding.stick, binding.push), binding);
        if (const auto* const step = std::get_if<StepTaken>(&binding.action))
            axis_count_ = std::max(axis_count_, step->axis + 1);
    }
    if (steps())
        wheel_axis_ = std::min(wheel_axis_, axis_count_ - 1);
}

Action InputMap::action(const InputEvent& event) {
    switch (event.kind) {
        case InputEvent::Kind::key_down:
            return key(event);
        case InputEvent::Kind::wheel:
            if (event.value == 0.0)
                return {};
            return turned(event, event.value > 0.0 ? +1 : -1);
        case InputEvent::Kind::gamepad_button: {
            const auto found = buttons_.find(event.name);
            return found == buttons_.end() ? ignored() : meant(found->second, false);
        }
        case InputEvent::Kind::gamepad_axis:
            return stick(event);
        case InputEvent::Kind::knob:
            knob_steps_ += knob_.turned_to(event.value);
            knob_coarse_ = event.shift;
            return pending_step();
        case InputEvent::Kind::knob_removed:
            knob_.forget();
            return {};
        case InputEvent::Kind::window_closed:
            return Escaped{};
        default:
            return {};
    }
}

Action InputMap::pending_step() {
    if (!steps())
        knob_steps_ = 0;
    if (knob_steps_ == 0)
        return {};
    const int direction = knob_steps_ > 0 ? +1 : -1;
    knob_steps_ -= direction;
    InputEvent event;
    event.shift = knob_coarse_;
    return turned(event, direction);
}

bool InputMap::forget(const InputEvent& event) {
    const int before = ignored_;
    const Action forgotten = action(event);
    knob_steps_ = 0;
    if (std::holds_alternative<Escaped>(forgotten))
        return true;
    const bool is_press = event.kind == InputEvent::Kind::key_down ||
                          event.kind == InputEvent::Kind::gamepad_button ||
                          event.kind == InputEvent::Kind::gamepad_axis;
    if (!std::holds_alternative<NoAction>(forgotten) && is_press && !event.repeat)
        ignored_ = before + 1;
    return false;
}

int InputMap::take_ignored() {
    return std::exchange(ignored_, 0);
}

Action InputMap::ignored() {
    ++ignored_;
    return {};
}

Action InputMap::key(const InputEvent& event) {
    if (event.name == "Tab" && steps()) {
        if (!event.repeat)
            wheel_axis_ = (wheel_axis_ + 1) % axis_count_;
        return {};
    }
    // Shift with a key that says '-' is meant for another character.
    auto found = event.shift ? keys_.end() : keys_.find("char " + event.label);
    if (found == keys_.end())
        found = keys_.find(event.name);
    if (found == keys_.end())
        return event.repeat || goes_with_others(event.name) ? NoAction{} : ignored();
    // A held space bar must not accept the next match as well.
    if (event.repeat && !found->second.repeats)
        return {};
    return meant(found->second, event.shift);
}

Action InputMap::stick(const InputEvent& event) {
    bool& out = stick_out_[event.name];
    if (std::abs(event.value) < kStickBack)
        out = false;
    if (out || std::abs(event.value) < kStickOut)
        return {};
    out = true;
    const auto found = sticks_.find({event.name, event.value > 0.0 ? +1 : -1});
    return found == sticks_.end() ? ignored() : meant(found->second, true);
}

Action InputMap::turned(const InputEvent& event, int direction) {
    if (!steps())
        return {};
    return StepTaken{.axis = wheel_axis_, .direction = direction, .coarse = event.shift};
}

Action InputMap::meant(const Binding& binding, bool coarse) {
    Action action = binding.action;
    if (auto* const step = std::get_if<StepTaken>(&action)) {
        wheel_axis_ = step->axis;
        step->coarse = coarse;
    }
    return action;
}

}  // namespace isoseam
