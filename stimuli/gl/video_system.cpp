#include <SDL.h>
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdlib>
#include <map>
#include <string_view>

#include "base/errors.h"
#include "stimuli/gl/knob_listener.h"
#include "stimuli/gl/presenter.h"

namespace isoseam {

double steady_seconds() {
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

namespace {

[[noreturn]] void no_screen(const std::string& why) {
    throw MachineError(fmt::format("no screen: {}", why),
                       "start in a graphical session, or run with --headless");
}

bool is_set(const char* variable) {
    const char* value = std::getenv(variable);
    return value != nullptr && *value != '\0';
}

// Drivers that draw into memory are no screen unless the user asked for one by name.
bool is_screenless_by_chance() {
    const std::string_view driver = SDL_GetCurrentVideoDriver();
    return (driver == "dummy" || driver == "offscreen") && !is_set("SDL_VIDEODRIVER");
}

std::string or_unnamed(const char* name) {
    return name == nullptr || *name == '\0' ? "unnamed" : name;
}

}  // namespace

struct VideoSystem::Implementation {
    std::map<SDL_JoystickID, SDL_GameController*> controllers;
    KnobListener knobs;

    std::optional<InputEvent> translated(const SDL_Event& event);
    std::optional<InputEvent> controller_added(int device_index);
    std::optional<InputEvent> controller_removed(SDL_JoystickID id);
    bool is_knob(SDL_JoystickID id, SDL_GameControllerAxis axis) const;
};

VideoSystem::VideoSystem() : implementation_(std::make_unique<Implementation>()) {
    ISOSEAM_CHECK(SDL_WasInit(SDL_INIT_VIDEO) == 0, "two VideoSystems at once");
    SDL_SetHint(SDL_HINT_NO_SIGNAL_HANDLERS, "1");
    // Two full screens: the one without focus must stay.
    SDL_SetHint(SDL_HINT_VIDEO_MINIMIZE_ON_FOCUS_LOSS, "0");
    // The gamepad belongs to the participant, whichever window has the keyboard.
    SDL_SetHint(SDL_HINT_JOYSTICK_ALLOW_BACKGROUND_EVENTS, "1");
    SDL_SetHint("SDL_QUIT_ON_LAST_WINDOW_CLOSE", "0");
    // Asks a compositing manager to stay out of full screens (_NET_WM_BYPASS_COMPOSITOR): it delays frames.
    SDL_SetHint(SDL_HINT_VIDEO_X11_NET_WM_BYPASS_COMPOSITOR, "1");
    // Outside a graphical session only the bare console is left to try; the others would write messages of
    // their own.
    const bool has_session = is_set("DISPLAY") || is_set("WAYLAND_DISPLAY");
    const bool tries_console = !has_session && !is_set("SDL_VIDEODRIVER");
    SDL_SetHint(SDL_HINT_VIDEODRIVER, tries_console ? "KMSDRM" : nullptr);
    if (SDL_Init(SDL_INIT_VIDEO) != 0) {
        no_screen(tries_console
                      ? fmt::format("neither DISPLAY nor WAYLAND_DISPLAY is set ({})", SDL_GetError())
                      : SDL_GetError());
    }
    if (is_screenless_by_chance() || SDL_GetNumVideoDisplays() < 1) {
        const std::string driver = SDL_GetCurrentVideoDriver();
        SDL_Quit();
        no_screen(fmt::format("the video driver '{}' has none", driver));
    }
    if (SDL_InitSubSystem(SDL_INIT_GAMECONTROLLER) != 0) {
        const std::string why = SDL_GetError();
        SDL_Quit();
        throw MachineError(fmt::format("game controllers cannot be read: {}", why),
                           "check that /dev/input may be read, or unplug them");
    }
    SDL_StopTextInput();
}

VideoSystem::~VideoSystem() {
    implementation_->knobs.clear();
    for (const auto& [id, controller] : implementation_->controllers)
        SDL_GameControllerClose(controller);
    SDL_Quit();
}

int VideoSystem::screen_count() const {
    return SDL_GetNumVideoDisplays();
}

std::optional<InputEvent> VideoSystem::Implementation::controller_added(int device_index) {
    SDL_GameController* controller = SDL_GameControllerOpen(device_index);
    if (controller == nullptr)
        return std::nullopt;
    const SDL_JoystickID id = SDL_JoystickInstanceID(SDL_GameControllerGetJoystick(controller));
    if (!controllers.emplace(id, controller).second) {
        SDL_GameControllerClose(controller);  // opened before: SDL counts the openings
        return std::nullopt;
    }
    InputEvent added;
    added.kind = InputEvent::Kind::gamepad_added;
    added.name = or_unnamed(SDL_GameControllerName(controller));
    return added;
}

std::optional<InputEvent> VideoSystem::Implementation::controller_removed(SDL_JoystickID id) {
    const auto found = controllers.find(id);
    if (found == controllers.end())
        return std::nullopt;
    InputEvent removed;
    removed.kind = InputEvent::Kind::gamepad_removed;
    removed.name = or_unnamed(SDL_GameControllerName(found->second));
    SDL_GameControllerClose(found->second);
    controllers.erase(found);
    return removed;
}

namespace {

InputEvent key_event(const SDL_KeyboardEvent& key) {
    InputEvent event;
    event.kind = InputEvent::Kind::key_down;
    event.name = SDL_GetScancodeName(key.keysym.scancode);
    event.label = SDL_GetKeyName(key.keysym.sym);
    event.shift = (key.keysym.mod & KMOD_SHIFT) != 0;
    event.repeat = key.repeat != 0;
    return event;
}

InputEvent wheel_event(const SDL_MouseWheelEvent& wheel) {
    InputEvent event;
    event.kind = InputEvent::Kind::wheel;
    event.name = "wheel";
    const auto steps = static_cast<double>(wheel.preciseY);
    event.value = wheel.direction == SDL_MOUSEWHEEL_FLIPPED ? -steps : steps;
    event.shift = (SDL_GetModState() & KMOD_SHIFT) != 0;
    return event;
}

InputEvent button_event(const SDL_ControllerButtonEvent& button) {
    InputEvent event;
    event.kind = InputEvent::Kind::gamepad_button;
    event.name = SDL_GameControllerGetStringForButton(static_cast<SDL_GameControllerButton>(button.button));
    event.value = 1.0;
    return event;
}

InputEvent axis_event(const SDL_ControllerAxisEvent& axis) {
    InputEvent event;
    event.kind = InputEvent::Kind::gamepad_axis;
    event.name = SDL_GameControllerGetStringForAxis(static_cast<SDL_GameControllerAxis>(axis.axis));
    event.value = share_of_travel(axis.value);
    return event;
}

std::optional<InputEvent> window_event(const SDL_WindowEvent& window) {
    InputEvent event;
    switch (window.event) {
        case SDL_WINDOWEVENT_CLOSE:
            event.kind = InputEvent::Kind::window_closed;
            return event;
        case SDL_WINDOWEVENT_FOCUS_LOST:
            event.kind = InputEvent::Kind::focus_lost;
            return event;
        case SDL_WINDOWEVENT_FOCUS_GAINED:
            event.kind = InputEvent::Kind::focus_gained;
            return event;
        case SDL_WINDOWEVENT_SHOWN:
        case SDL_WINDOWEVENT_HIDDEN:
        case SDL_WINDOWEVENT_MINIMIZED:
        case SDL_WINDOWEVENT_RESTORED:
        case SDL_WINDOWEVENT_MOVED:
        case SDL_WINDOWEVENT_SIZE_CHANGED:
        case SDL_WINDOWEVENT_DISPLAY_CHANGED:
            event.kind = InputEvent::Kind::window_changed;
            return event;
        default:
            return std::nullopt;
    }
}

}  // namespace

// Whether this axis of a known gamepad is one of the knobs.
bool VideoSystem::Implementation::is_knob(SDL_JoystickID id, SDL_GameControllerAxis axis) const {
    const auto controller = controllers.find(id);
    if (controller == controllers.end())
        return false;
    const SDL_GameControllerButtonBind bind = SDL_GameControllerGetBindForAxis(controller->second, axis);
    return bind.bindType == SDL_CONTROLLER_BINDTYPE_AXIS && knobs.hears(id, bind.value.axis);
}

std::optional<InputEvent> VideoSystem::Implementation::translated(const SDL_Event& event) {
    switch (event.type) {
        case SDL_KEYDOWN:
            return key_event(event.key);
        case SDL_MOUSEWHEEL:
            if (event.wheel.preciseY == 0.0F)
                return std::nullopt;
            return wheel_event(event.wheel);
        case SDL_CONTROLLERBUTTONDOWN:
            return button_event(event.cbutton);
        case SDL_CONTROLLERAXISMOTION:
            if (is_knob(event.caxis.which, static_cast<SDL_GameControllerAxis>(event.caxis.axis)))
                return std::nullopt;
            return axis_event(event.caxis);
        case SDL_JOYAXISMOTION:
            return knobs.moved(event.jaxis);
        case SDL_JOYDEVICEADDED:
            knobs.added(event.jdevice.which);
            return std::nullopt;
        case SDL_JOYDEVICEREMOVED:
            return knobs.removed(event.jdevice.which);
        case SDL_CONTROLLERDEVICEADDED:
            return controller_added(event.cdevice.which);
        case SDL_CONTROLLERDEVICEREMOVED:
            return controller_removed(event.cdevice.which);
        case SDL_WINDOWEVENT:
            return window_event(event.window);
        case SDL_DISPLAYEVENT: {
            InputEvent changed;
            changed.kind = InputEvent::Kind::window_changed;
            return changed;
        }
        case SDL_QUIT: {
            InputEvent closed;
            closed.kind = InputEvent::Kind::window_closed;
            return closed;
        }
        default:
            return std::nullopt;
    }
}

std::optional<InputEvent> VideoSystem::next_event(double timeout_s) {
    const double deadline_s = steady_seconds() + timeout_s;
    while (true) {
        if (std::optional<InputEvent> position = implementation_->knobs.position_to_tell())
            return position;
        const double left_s = deadline_s - steady_seconds();
        SDL_Event event;
        const int got =
            left_s > 0.0
                ? SDL_WaitEventTimeout(&event, static_cast<int>(std::ceil(std::min(left_s, 3600.0) * 1e3)))
                : SDL_PollEvent(&event);
        if (got == 0) {
            if (left_s > 3600.0)
                continue;
            return std::nullopt;
        }
        if (std::optional<InputEvent> translated = implementation_->translated(event)) {
            // SDL stamps an event when it arrives, in its own milliseconds.
            const std::uint32_t age_ms = SDL_GetTicks() - event.common.timestamp;
            translated->time_s = steady_seconds() - age_ms / 1000.0;
            return translated;
        }
    }
}

std::vector<std::string> VideoSystem::gamepads() const {
    std::vector<std::string> names;
    for (int i = 0; i < SDL_NumJoysticks(); ++i) {
        if (SDL_IsGameController(i) == SDL_TRUE)
            names.push_back(or_unnamed(SDL_GameControllerNameForIndex(i)));
    }
    return names;
}

std::vector<std::string> VideoSystem::unknown_gamepads() const {
    std::vector<std::string> names;
    for (int i = 0; i < SDL_NumJoysticks(); ++i) {
        if (SDL_IsGameController(i) != SDL_TRUE)
            names.push_back(or_unnamed(SDL_JoystickNameForIndex(i)));
    }
    return names;
}

std::vector<InputDevice> VideoSystem::input_devices() const {
    return attached_devices();
}

void VideoSystem::listen_to(int device, std::optional<int> axis) {
    implementation_->knobs.listen_to(device, axis);
}

bool VideoSystem::hears_all() const {
    return implementation_->knobs.hears_all();
}

std::string VideoSystem::key_label(const std::string& key) const {
    const SDL_Scancode place = SDL_GetScancodeFromName(key.c_str());
    const std::string label = SDL_GetKeyName(SDL_GetKeyFromScancode(place));
    return label.empty() ? key : label;
}

}  // namespace isoseam
