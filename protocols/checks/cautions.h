#pragma once
// What a reader of the results should know beforehand.
#include <vector>

#include "protocols/setup/caution.h"
#include "protocols/setup/setup.h"
#include "stimuli/frame_depth.h"

namespace isoseam {

// In plain words: what matches on this rig can show and what they cannot, and what else a reader of the results
// should know. `dither` is what sessions use.
std::vector<Caution> cautions_of(const Setup& setup, DitherKind dither = DitherKind::ordered);

}  // namespace isoseam
