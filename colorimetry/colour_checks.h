#pragma once
// What the colour spaces require of their input. Only the sources of colour_space.h and of the headers like
// it include this.

#include "colorimetry/colour_types.h"

// Calls a macro with each colour-matching observer. The sources of colour spaces instantiate their templates by it.
#define ISOSEAM_FOR_EACH_MATCHING(Macro)                                     \
    Macro(ColourMatching::cie1931_2deg) Macro(ColourMatching::cie1964_10deg) \
        Macro(ColourMatching::cie2015_2deg) Macro(ColourMatching::cie2015_10deg)

namespace isoseam {

// Throws an InputError such as "WHAT of 1, nan, 3; give finite numbers".
void check_finite(const Eigen::Vector3d& values, const char* what);

// Throws an InputError unless the background excites each of the three cones.
void check_contrast_background(const Lms& background);

}  // namespace isoseam
