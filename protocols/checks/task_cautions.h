#pragma once
// What to say about tasks before anybody sits down to them.

#include <string>
#include <vector>

#include "protocols/language/protocol.h"
#include "protocols/setup/caution.h"
#include "protocols/setup/setup.h"

namespace isoseam {

// Adds what common practice would have otherwise, and levels that the screen is too coarse for.
void note_tasks(const Setup& setup, DitherKind dither, std::vector<Caution>& cautions);

// "10 bits without dither".
std::string depth_words(int bits, DitherKind dither);

}  // namespace isoseam
