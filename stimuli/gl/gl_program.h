#pragma once
// Small owners of OpenGL objects. Each must be made and destroyed with its context current.

#include <GL/glew.h>

#include <string>

namespace isoseam {

// Throws std::logic_error when OpenGL has noted an error since the last call.
void check_gl(const char* after_what);

// A fragment shader that covers the whole drawable. MachineError with the driver's words when it does not
// compile.
class GlProgram {
  public:
    explicit GlProgram(const char* fragment_source);
    ~GlProgram();
    GlProgram(const GlProgram&) = delete;
    GlProgram& operator=(const GlProgram&) = delete;

    void use() const { glUseProgram(program_); }
    GLint uniform(const char* name) const;  // must exist (checked)
    void draw() const;                      // every pixel of the viewport, once

  private:
    GLuint program_ = 0;
    GLuint vertex_array_ = 0;
};

}  // namespace isoseam
