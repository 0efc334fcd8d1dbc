#include "runner/input_map.h"

#include <cmath>

namespace isoseam {
namespace {

struct Direction {
    int axis;
    int sign;
};

// A stick must pass this share of its travel to count, and come back below the other before it counts again.
constexpr double kStickOut = 0.6;
constexpr double kStickBack = 0.3;

const std::map<std::string, Direction> kKeys = {
    {"Left", {0, -1}}, {"Right", {0, +1}},    {"Down", {1, -1}},
    {"Up", {1, +1}},   {"PageDown", {2, -1}}, {"PageUp", {2, +1}},
};
const std::map<std::string, Direction> kButtons = {
    {"dpleft", {0, -1}}, {"dpright", {0, +1}},      {"dpdown", {1, -1}},
    {"dpup", {1, +1}},   {"leftshoulder", {2, -1}}, {"rightshoulder", {2, +1}},
};
// Positive deflection; SDL's y axes point down.
const std::map<std::string, Direction> kSticks = {
    {"leftx", {0, +1}},
    {"lefty", {1, -1}},
    {"lefttrigger", {2, -1}},
    {"righttrigger", {2, +1}},
};

}  // namespace

Action InputMap::action(const InputEvent& event) {
    switch (event.kind) {
        case InputEvent::Kind::key_down:
            return key(event);
        case InputEvent::Kind::wheel:
            if (event.value == 0.0)
                return {};
            return step(wheel_axis_, event.value > 0.0 ? +1 : -1, event.shift);
        case InputEvent::Kind::gamepad_button: {
            if (event.name == "a")
                return {Action::Kind::accept, {}};
            if (event.name == "back" || event.name == "start")
                return {Action::Kind::escape, {}};
            const auto found = kButtons.find(event.name);
            return found == kButtons.end() ? Action{} : step(found->second.axis, found->second.sign, false);
        }
        case InputEvent::Kind::gamepad_axis:
            return stick(event);
        case InputEvent::Kind::window_closed:
            return {Action::Kind::escape, {}};
        default:
            return {};
    }
}

Action InputMap::key(const InputEvent& event) {
    const auto found = kKeys.find(event.name);
    if (found != kKeys.end())
        return step(found->second.axis, found->second.sign, event.shift);
    if (event.repeat)
        return {};  // a held space bar must not accept the next match as well
    if (event.name == "Space" || event.name == "Return" || event.name == "Keypad Enter")
        return {Action::Kind::accept, {}};
    if (event.name == "Escape")
        return {Action::Kind::escape, {}};
    if (event.name == "Tab")
        wheel_axis_ = (wheel_axis_ + 1) % axis_count_;
    return {};
}

Action InputMap::stick(const InputEvent& event) {
    const auto found = kSticks.find(event.name);
    if (found == kSticks.end())
        return {};
    bool& out = stick_out_[event.name];
    if (std::abs(event.value) < kStickBack)
        out = false;
    if (out || std::abs(event.value) < kStickOut)
        return {};
    out = true;
    return step(found->second.axis, event.value > 0.0 ? found->second.sign : -found->second.sign, true);
}

Action InputMap::step(int axis, int direction, bool coarse) {
    if (axis >= axis_count_)
        return {};
    wheel_axis_ = axis;
    Action action;
    action.kind = Action::Kind::step;
    action.step = {
        .kind = AdjustmentResponse::Kind::step, .axis = axis, .direction = direction, .coarse = coarse};
    return action;
}

}  // namespace isoseam
