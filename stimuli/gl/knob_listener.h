#pragma once
// Axes of any device, read one by one. The device need not be a game controller.

#include <SDL.h>

#include <deque>
#include <memory>
#include <optional>
#include <vector>

#include "stimuli/gl/presenter.h"

namespace isoseam {

std::vector<InputDevice> attached_devices();

// The position of an axis as a number from -1 to 1.
double share_of_travel(Sint16 position);

class KnobListener {
  public:
    // See VideoSystem::listen_to and hears_all.
    void listen_to(int device, std::optional<int> axis);
    bool hears_all() const;
    bool hears(SDL_JoystickID id, int axis) const;
    // To be called before SDL ends.
    void clear() { heard_.clear(); }

    // The event for what SDL tells of an axis. No value for an axis that is not listened to.
    std::optional<InputEvent> moved(const SDL_JoyAxisEvent& axis) const;
    void added(int device_index);
    std::optional<InputEvent> removed(SDL_JoystickID id);
    // Where a newly heard axis stands. SDL itself does not tell this before the axis moves.
    std::optional<InputEvent> position_to_tell();

  private:
    struct JoystickCloser {
        void operator()(SDL_Joystick* joystick) const { SDL_JoystickClose(joystick); }
    };
    struct Heard {
        int number = 0;
        std::optional<int> axis;  // none: all
        SDL_JoystickGUID kind{};
        std::unique_ptr<SDL_Joystick, JoystickCloser> joystick;  // none while it is plugged out

        bool hears(SDL_JoystickID id, int which) const;
    };
    static InputEvent event_of(const Heard& device, int axis, Sint16 position);
    void tell_positions(const Heard& device);

    std::vector<Heard> heard_;
    std::deque<InputEvent> positions_;
};

}  // namespace isoseam
