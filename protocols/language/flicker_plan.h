#pragma once
// The flicker that a protocol asks for.
#include "base/quantity.h"
#include "protocols/language/participant_words.h"
#include "stimuli/flicker.h"

namespace isoseam {

// The reference light and the adjusted one take turns.
struct FlickerPlan {
    FlickerForm form = FlickerForm::square;
    Exchange exchange = Exchange::lights;
    double frequency_hz = 0.0;
    double onset_s = 0.0;   // The flicker rises to its full depth in this time.
    Degrees largest_field;  // The protocol's own limit.
    // Flicker lasts so long at a stretch. Then the field is taken away until the observer continues.
    double longest_s = 0.0;
    // The question that is asked before anything flickers. Whoever cannot say no leaves.
    Words exclusion;
    int line = 0;  // The line of the frequency.
    int column = 0;
};

}  // namespace isoseam
