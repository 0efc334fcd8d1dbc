#pragma once
// The field of a protocol or a lecture as a picture, without a screen.

#include <string>

#include "protocols/setup/setup.h"
#include "runner/station/presentation.h"
#include "stimuli/dither.h"

namespace isoseam {

// Returns a PNG file: the field in the codes of the calibrated screen.
std::string field_png(const Setup& setup, const FieldLights& lights, DitherKind dither = DitherKind::none);

}  // namespace isoseam
