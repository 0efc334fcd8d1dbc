#include "stimuli/gl/line_drawing.h"

#include <GL/glew.h>

#include <algorithm>

#include "base/errors.h"
#include "stimuli/gl/gl_program.h"

namespace isoseam {
namespace {

// Clears a rectangle; y counts from the upper edge.
void fill(int x, int y, int width, int height, int height_px, float level) {
    glScissor(x, height_px - y - height, width, height);
    glClearColor(level, level, level, 1.0F);
    glClear(GL_COLOR_BUFFER_BIT);
}

}  // namespace

void draw_lines(const LinePattern& pattern, int width_px, int height_px, int bits) {
    const int full = (1 << bits) - 1;
    ISOSEAM_CHECK_GT(pattern.lit, 0);
    ISOSEAM_CHECK_LT(pattern.lit, pattern.period);
    ISOSEAM_CHECK_LE(pattern.patch_code, full);
    glEnable(GL_SCISSOR_TEST);
    fill(0, 0, width_px, height_px, height_px, 0.0F);
    for (int y = 0; y < height_px; y += pattern.period)
        fill(0, y, width_px, std::min(pattern.lit, height_px - y), height_px, 1.0F);
    const int side = std::min(width_px, height_px) / 3;
    fill((width_px - side) / 2, (height_px - side) / 2, side, side, height_px,
         static_cast<float>(pattern.patch_code) / static_cast<float>(full));
    glDisable(GL_SCISSOR_TEST);
    check_gl("drawing lines");
}

}  // namespace isoseam
