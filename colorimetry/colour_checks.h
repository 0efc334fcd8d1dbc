#pragma once
// What the colour spaces require of their input. Only the sources of colour_space.h and of the headers like
// it include this.

#include "colorimetry/colour_types.h"

namespace isoseam {

// Throws an InputError such as "WHAT of 1, nan, 3; give finite numbers".
void check_finite(const Eigen::Vector3d& values, const char* what);

// Throws an InputError unless the background excites each of the three cones.
void check_contrast_background(const Lms& background);

}  // namespace isoseam
