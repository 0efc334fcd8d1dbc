#pragma once
// What to say about tasks before anybody sits down to them.

#include <string>
#include <vector>

#include "protocols/language/protocol.h"
#include "protocols/setup/caution.h"
#include "protocols/setup/setup.h"

namespace isoseam {

// Adds a caution for each departure from common practice, and for levels that are finer than the screen's
// steps.
void note_tasks(const Setup& setup, DitherKind dither, std::vector<Caution>& cautions);

// A frame buffer's depth in words: "10 bits without dither".
std::string depth_words(int bits, DitherKind dither);

}  // namespace isoseam
