#pragma once
// What one trial shows, before anybody responds.

#include <cstdint>

#include "protocols/course/course.h"
#include "runner/session/session_context.h"
#include "stimuli/flicker.h"

namespace isoseam {

// The lights of a condition, resolved once.
struct TrialLights {
    LinearDrive reference;
    std::optional<std::array<LinearDrive, 2>> rings;
    std::optional<Flicker> flicker;

    // The light of each half; of quadrants the second is the odd one's.
    FieldLights field(const Setup& setup, const LinearDrive& adjusted) const;
    // Reference and adjusted light in turns, for `longest_s` at most.
    Presentation in_turns(const Setup& setup, const LinearDrive& adjusted) const;
};
TrialLights lights_of(const SessionContext& context, int condition);

}  // namespace isoseam
