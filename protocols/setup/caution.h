#pragma once
// What a reader of results should know beforehand, in plain words.
//
//     header.cautions = caution_texts(cautions_of(setup));

#include <string>
#include <vector>

namespace isoseam {

// What a caution is about.
enum class CautionKind {
    primaries,       // what lights of the rig's primaries can show
    calibration,     // a calibration that nobody measured
    observer_field,  // an observer made for another size of field
    rods,
    adaptation,
    starts,     // starting points of settings
    fine_step,  // a step that is finer than the screen's codes
    task,
    flicker,
    unused_light,
    participant,  // what depends on who takes part
    duration,
    audience,   // where the people of a class sit
    diagnosis,  // nothing here diagnoses
};

struct Caution {
    CautionKind kind;
    std::string text;
};

// The texts in their order, but the caution about diagnosis is the last word, whatever was added after it.
std::vector<std::string> caution_texts(const std::vector<Caution>& cautions);

}  // namespace isoseam
