#pragma once
// What the participant's presses mean now (see bindings.h for which).
//
// Shift with a key, the wheel or a knob makes a coarse step, and so does a gamepad's stick. Mouse wheel and
// knob move the axis that was moved last (at first the 1st); Tab goes on to the next.

#include <map>
#include <optional>
#include <string>

#include "runner/screen/knob.h"
#include "runner/station/bindings.h"
#include "runner/station/station.h"
#include "stimuli/gl/presenter.h"

namespace isoseam {

class InputMap {
  public:
    explicit InputMap(KeySet keys = KeySet::both) : key_set_(keys) { expect({}); }

    void expect(const Expected& expected);

    // Returns NoAction for an event that means nothing now. An event of a knob may mean several steps: the
    // others follow from pending_step().
    Action action(const InputEvent& event);
    Action pending_step();

    // Treats the event as if it had come at a moment at which nothing counts. Returns true for an escape.
    bool forget(const InputEvent& event);

    // Returns how many presses meant nothing or were forgotten since this was asked last. Presses of keys and
    // buttons and pushes of a stick count. The repeats of a held key, turns of wheel and knob, keys that only
    // go with others, and Tab where it is used do not count.
    int take_ignored();

  private:
    Action ignored();
    Action key(const InputEvent& event);
    Action stick(const InputEvent& event);
    Action turned(const InputEvent& event, int direction);
    Action meant(const Binding& binding, bool coarse);
    bool steps() const { return axis_count_ > 0; }

    KeySet key_set_;
    int axis_count_ = 0;  // axes of the adjustment; 0 while none is expected
    int wheel_axis_ = 0;
    std::map<std::string, Binding> keys_;
    std::map<std::string, Binding> buttons_;
    std::map<std::pair<std::string, int>, Binding> sticks_;
    std::map<std::string, bool> stick_out_;  // a stick counts once, until it has come back to the middle
    Knob knob_;
    int knob_steps_ = 0;  // steps that are still to be handed out
    bool knob_coarse_ = false;
    int ignored_ = 0;
};

}  // namespace isoseam
