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
    double onset_s = 0.0;    // of the depth, from nothing
    Degrees largest_field;   // the protocol's own limit
    double longest_s = 0.0;  // at a stretch; then the field is taken away until the observer goes on
    Words exclusion;         // the question that is asked before anything flickers; who cannot say no leaves
    int line = 0;            // of the frequency
    int column = 0;
};

}  // namespace isoseam
