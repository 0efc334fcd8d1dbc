#pragma once
// What one trial shows, before anybody responds.

#include <cstdint>

#include "protocols/course/course.h"
#include "runner/session/session_context.h"
#include "stimuli/flicker.h"

namespace isoseam {

// The lights of a condition as drives, computed once for all its frames.
struct TrialLights {
    LinearDrive reference;
    std::optional<std::array<LinearDrive, 2>> rings;
    std::optional<Flicker> flicker;

    // The light of each half. In a field of quadrants the adjusted light is that of the odd quadrant.
    FieldLights field(const Setup& setup, const LinearDrive& adjusted) const;
    // The reference and the adjusted light take turns, for the protocol's longest time at most.
    Presentation in_turns(const Setup& setup, const LinearDrive& adjusted) const;
};
TrialLights lights_of(const SessionContext& context, int condition);
// The light of the adjusted half at this position along the axes.
LinearDrive light_at(const AdjustmentProblem& problem, const Level& position);

}  // namespace isoseam
