#pragma once
// Draws a pattern of lines with a patch in its middle. The context is current and the viewport set.

#include "stimuli/gl/presenter.h"

namespace isoseam {

void draw_lines(const LinePattern& pattern, int width_px, int height_px, int bits);

}  // namespace isoseam
