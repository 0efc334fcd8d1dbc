#pragma once
// What a reveal says, in plain words. It speaks of calculated eyes and of stated limits, never of a person.

#include <string>
#include <vector>

#include "protocols/lectures/lecture_setup.h"

namespace isoseam {

// Sentences for the projector, in German where `language` is "de", in English otherwise.
std::vector<std::string> reveal_words(const Revealed& revealed, const std::string& language);

}  // namespace isoseam
