#pragma once
// A page of words for the participant.

#include <memory>
#include <string>
#include <vector>

#include "stimuli/ink_picture.h"

namespace isoseam {

// Keys of the seat, drawn as keys, and what they do.
struct KeyHint {
    std::vector<std::string> keys;  // as they are labelled: "Left", "Space"
    std::string meaning;            // in the participant's language
};

// Words for the participant, without any number of the experiment.
struct Instruction {
    std::string heading;
    std::vector<std::string> paragraphs;
    std::string foot;
    std::vector<KeyHint> keys{};
    std::vector<std::string> choices{};  // one below the other, to choose from
    int chosen = -1;                     // the one that stands out; -1: none
    std::string entry{};                 // what was typed so far
    // A drawing in black on light paper. The page is then light, and the drawing fits screen_size_px().
    std::shared_ptr<const InkPicture> picture{};
};

}  // namespace isoseam
