#pragma once
// What a reader of results should know beforehand, in plain words.
//
//     header.cautions = caution_texts(cautions_of(setup));

#include <string>
#include <vector>

#include "colorimetry/light.h"
#include "protocols/language/protocol.h"
#include "protocols/setup/setup.h"

namespace isoseam {

// What a caution is about.
enum class CautionKind {
    primaries,       // What lights of the rig's primaries can show.
    calibration,     // A calibration is invented or estimated.
    observer_field,  // The observer is made for another size of field.
    rods,
    adaptation,
    starts,     // The starting points of settings.
    fine_step,  // A fine step is finer than the screen's codes.
    task,
    flicker,
    unused_light,
    participant,  // The protocol depends on who takes part.
    duration,
    audience,   // The people of a class sit at different places.
    diagnosis,  // Nothing here diagnoses.
};

struct Caution {
    CautionKind kind;
    std::string text;
};

// What follows is said of protocols and of lectures alike.

// Names each calibration that is invented or estimated, and says `invented` or `estimated` of it.
void note_unmeasured(const Setup& setup, const std::string& invented, const std::string& estimated,
                     std::vector<Caution>& cautions);
// Says that the observer is made for another size of field, and `why` that matters.
void note_field_of_observer(const Protocol& protocol, const std::string& why, std::vector<Caution>& cautions);
// Names each named light that neither the field, nor `further`, nor any of these lights uses.
void note_unused_lights(const Protocol& protocol, const std::vector<LightSpec>& further,
                        std::vector<Caution>& cautions);

// The texts in their order, but the caution about diagnosis is the last word, whatever was added after it.
std::vector<std::string> caution_texts(const std::vector<Caution>& cautions);

}  // namespace isoseam
