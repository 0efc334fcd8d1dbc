#pragma once
// A dim drawing by which the halves of a rig are lined up: the outlines of a field and a ruler in degrees of
// visual angle.

#include <array>
#include <cstdint>

#include "stimuli/field.h"
#include "stimuli/picture.h"

namespace isoseam {

// On black, one pixel wide: the outlines between the field's regions, and a cross through its centre over the
// whole screen with a tick at every degree and a longer one at every fifth, seen from the viewing distance.
// All lines have `line_code`.
CodeImage placement_picture(const FieldLayout& layout, int bits,
                            const std::array<std::uint16_t, 3>& line_code);

}  // namespace isoseam
