#pragma once
// What a reader of the results should know beforehand.
//
//     for (const std::string& text : caution_texts(cautions_of(setup)))
#include <vector>

#include "protocols/setup/caution.h"
#include "protocols/setup/setup.h"
#include "stimuli/frame_depth.h"

namespace isoseam {

// Says in plain words what matches on this rig can show and what they cannot, and what else a reader of the
// results should know. `dither` is what sessions use.
std::vector<Caution> cautions_of(const Setup& setup, DitherKind dither = DitherKind::ordered);

}  // namespace isoseam
