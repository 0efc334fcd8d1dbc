#include "stimuli/gl/knob_listener.h"

#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <utility>

#include "base/errors.h"

namespace isoseam {
namespace {

InputError no_such_knob(std::string found) {
    return InputError("knob", std::move(found),
                      "take the numbers that 'isoseam session devices' lists, and turn the knob to see "
                      "which axis it is");
}

}  // namespace

std::vector<InputDevice> attached_devices() {
    std::vector<InputDevice> devices;
    for (int i = 0; i < SDL_NumJoysticks(); ++i) {
        InputDevice device;
        device.number = i;
        const char* name = SDL_JoystickNameForIndex(i);
        device.name = name == nullptr || *name == '\0' ? "unnamed" : name;
        device.is_gamepad = SDL_IsGameController(i) == SDL_TRUE;
        if (SDL_Joystick* opened = SDL_JoystickOpen(i)) {
            device.axes = SDL_JoystickNumAxes(opened);
            device.buttons = SDL_JoystickNumButtons(opened);
            SDL_JoystickClose(opened);
        }
        devices.push_back(std::move(device));
    }
    return devices;
}

double share_of_travel(Sint16 position) {
    return position < 0 ? position / 32768.0 : position / 32767.0;
}

bool KnobListener::Heard::hears(SDL_JoystickID id, int which) const {
    return joystick != nullptr && SDL_JoystickInstanceID(joystick.get()) == id &&
           axis.value_or(which) == which;
}

void KnobListener::listen_to(int device, std::optional<int> axis) {
    const std::vector<InputDevice> devices = attached_devices();
    if (!(device >= 0 && device < static_cast<int>(devices.size()))) {
        throw no_such_knob(devices.empty()
                               ? fmt::format("there is no device {}: none is attached", device)
                               : fmt::format("there is no device {}: {} attached", device, devices.size()));
    }
    const InputDevice& found = devices[static_cast<std::size_t>(device)];
    if (axis && !(*axis >= 0 && *axis < found.axes)) {
        throw no_such_knob(fmt::format("device {}, '{}', has {} axes, and none of number {}", device,
                                       found.name, found.axes, *axis));
    }
    Heard heard;
    heard.number = device;
    heard.axis = axis;
    heard.kind = SDL_JoystickGetDeviceGUID(device);
    heard.joystick.reset(SDL_JoystickOpen(device));
    if (heard.joystick == nullptr) {
        throw MachineError(fmt::format("'{}' cannot be read: {}", found.name, SDL_GetError()),
                           "check that /dev/input may be read");
    }
    tell_positions(heard);
    heard_.push_back(std::move(heard));
}

bool KnobListener::hears_all() const {
    return std::all_of(heard_.begin(), heard_.end(),
                       [](const Heard& device) { return device.joystick != nullptr; });
}

bool KnobListener::hears(SDL_JoystickID id, int axis) const {
    return std::any_of(heard_.begin(), heard_.end(),
                       [&](const Heard& device) { return device.hears(id, axis); });
}

InputEvent KnobListener::event_of(const Heard& device, int axis, Sint16 position) {
    InputEvent event;
    event.kind = InputEvent::Kind::knob;
    event.device = device.number;
    event.axis = axis;
    event.value = share_of_travel(position);
    event.shift = (SDL_GetModState() & KMOD_SHIFT) != 0;
    return event;
}

std::optional<InputEvent> KnobListener::moved(const SDL_JoyAxisEvent& axis) const {
    for (const Heard& device : heard_) {
        // When a device is plugged out, SDL puts its axes back to their middle, although nobody turned them.
        if (device.hears(axis.which, axis.axis) && SDL_JoystickGetAttached(device.joystick.get()) == SDL_TRUE)
            return event_of(device, axis.axis, axis.value);
    }
    return std::nullopt;
}

void KnobListener::tell_positions(const Heard& device) {
    SDL_JoystickUpdate();
    for (int axis = 0; axis < SDL_JoystickNumAxes(device.joystick.get()); ++axis) {
        if (device.axis.value_or(axis) == axis)
            positions_.push_back(event_of(device, axis, SDL_JoystickGetAxis(device.joystick.get(), axis)));
    }
}

void KnobListener::added(int device_index) {
    const SDL_JoystickGUID kind = SDL_JoystickGetDeviceGUID(device_index);
    for (Heard& device : heard_) {
        if (device.joystick != nullptr || SDL_memcmp(&device.kind, &kind, sizeof kind) != 0)
            continue;
        device.joystick.reset(SDL_JoystickOpen(device_index));
        if (device.joystick != nullptr)
            tell_positions(device);
        return;
    }
}

std::optional<InputEvent> KnobListener::removed(SDL_JoystickID id) {
    for (Heard& device : heard_) {
        if (device.joystick == nullptr || SDL_JoystickInstanceID(device.joystick.get()) != id)
            continue;
        device.joystick.reset();
        InputEvent removed;
        removed.kind = InputEvent::Kind::knob_removed;
        removed.device = device.number;
        return removed;
    }
    return std::nullopt;
}

std::optional<InputEvent> KnobListener::position_to_tell() {
    if (positions_.empty())
        return std::nullopt;
    InputEvent event = std::move(positions_.front());
    positions_.pop_front();
    event.time_s = steady_seconds();
    return event;
}

}  // namespace isoseam
