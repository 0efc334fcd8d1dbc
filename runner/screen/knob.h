#pragma once
// A knob: one axis of any device, turned like a wheel.

#include <optional>
#include <string>

namespace isoseam {

// An axis, by the numbers that `isoseam session devices` lists.
struct KnobAxis {
    int device = 0;
    int axis = 0;
};
// Reads words such as "1:0". InputError for anything else.
KnobAxis parse_knob(const std::string& words);

// The knob makes one step for each hundredth of the axis's travel.
inline constexpr int kKnobStepsPerTravel = 100;

class Knob {
  public:
    // `position` is where the axis stands now, from -1 to 1. Returns the whole steps turned since the last
    // step that was returned. The first call only tells where the knob stands, and returns 0. A leap of more
    // than half of the travel means that an endless knob went through its end.
    int turned_to(double position);
    // Treats the next position as a first one again.
    void forget() { position_.reset(); }

  private:
    std::optional<double> position_;
    double left_over_ = 0.0;  // the part of a step that is left over
};

}  // namespace isoseam
