#pragma once
// Which key, wheel turn or gamepad button means what to a participant.
//
//   axis    keys                    gamepad: fine      gamepad: coarse
//   1st     Left, Right             d-pad              left stick, left and right
//   2nd     Down, Up                d-pad              left stick, down and up
//   3rd     PageDown, PageUp        shoulder buttons   triggers
//
// Shift with a key or the wheel makes a coarse step. The mouse wheel moves the axis that was moved last (at
// first the 1st); Tab goes on to the next. Space, Return and gamepad A accept; Escape and gamepad Back or
// Start pause.

#include <map>
#include <string>

#include "runner/station.h"
#include "stimuli/gl/presenter.h"

namespace isoseam {

class InputMap {
  public:
    explicit InputMap(int axis_count) : axis_count_(axis_count) {}

    // Action::Kind::none for what means nothing here.
    Action action(const InputEvent& event);

  private:
    Action step(int axis, int direction, bool coarse);
    Action key(const InputEvent& event);
    Action stick(const InputEvent& event);

    int axis_count_;
    int wheel_axis_ = 0;
    std::map<std::string, bool> stick_out_;  // a stick counts once, until it has come back to the middle
};

}  // namespace isoseam
