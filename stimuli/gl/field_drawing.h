#pragma once
// A field drawn by the graphics card: draw_reference() of stimuli/picture.h as a fragment shader.

#include <GL/glew.h>

#include <vector>

#include "stimuli/gl/gl_program.h"
#include "stimuli/picture.h"

namespace isoseam {

class FieldDrawing {
  public:
    FieldDrawing();
    ~FieldDrawing();
    FieldDrawing(const FieldDrawing&) = delete;
    FieldDrawing& operator=(const FieldDrawing&) = delete;

    void draw(const FieldPicture& picture);  // into the current viewport, which has the layout's size

  private:
    void set_layout(const FieldLayout& layout) const;
    void set_lights(const FieldPicture& picture) const;
    void set_tones(const FieldPicture& picture);

    GlProgram program_;
    GLuint tone_buffer_ = 0;
    GLuint tone_texture_ = 0;
    std::vector<float> tones_;  // what the buffer holds: three tables of three channels
};

}  // namespace isoseam
