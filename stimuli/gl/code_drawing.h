#pragma once
// A picture of codes, put into the frame buffer as it is.

#include <GL/glew.h>

#include "stimuli/gl/gl_program.h"
#include "stimuli/picture.h"

namespace isoseam {

class CodeDrawing {
  public:
    CodeDrawing();
    ~CodeDrawing();
    CodeDrawing(const CodeDrawing&) = delete;
    CodeDrawing& operator=(const CodeDrawing&) = delete;

    void draw(const CodeImage& image);  // over the whole viewport, which has the picture's size

  private:
    GlProgram program_;
    GLuint texture_ = 0;
};

}  // namespace isoseam
