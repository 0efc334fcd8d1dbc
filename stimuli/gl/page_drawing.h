#pragma once
// A page drawn by the graphics card: plain background, ink by its mask.

#include <GL/glew.h>

#include "stimuli/gl/gl_program.h"
#include "stimuli/gl/page_mask.h"

namespace isoseam {

class PageDrawing {
  public:
    PageDrawing();
    ~PageDrawing();
    PageDrawing(const PageDrawing&) = delete;
    PageDrawing& operator=(const PageDrawing&) = delete;

    void draw(const Page& page, int width_px, int height_px, int bits);

    const PageSetter& setter() const { return setter_; }

  private:
    PageSetter setter_;
    GlProgram program_;
    GLuint mask_texture_ = 0;
};

}  // namespace isoseam
