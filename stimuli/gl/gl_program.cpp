#include "stimuli/gl/gl_program.h"

#include <fmt/format.h>

#include <array>

#include "base/errors.h"

namespace isoseam {

namespace {

// One triangle that is larger than the viewport, so that there is no seam along a diagonal.
constexpr const char* kVertexSource = R"(#version 330 core
void main() {
    gl_Position = vec4(gl_VertexID == 1 ? 3.0 : -1.0, gl_VertexID == 2 ? 3.0 : -1.0, 0.0, 1.0);
}
)";

[[noreturn]] void refuse(const std::string& words) {
    throw MachineError(fmt::format("the graphics driver refuses the program's shaders: {}", words),
                       "install a driver with complete OpenGL 3.3 core, or run with --headless");
}

GLuint compiled(GLenum kind, const char* source) {
    const GLuint shader = glCreateShader(kind);
    glShaderSource(shader, 1, &source, nullptr);
    glCompileShader(shader);
    GLint done = GL_FALSE;
    glGetShaderiv(shader, GL_COMPILE_STATUS, &done);
    if (done != GL_TRUE) {
        std::array<char, 2048> words{};
        glGetShaderInfoLog(shader, static_cast<GLsizei>(words.size()), nullptr, words.data());
        glDeleteShader(shader);
        refuse(words.data());
    }
    return shader;
}

}  // namespace

void check_gl(const char* after_what) {
    const GLenum error = glGetError();
    ISOSEAM_CHECK(error == GL_NO_ERROR, fmt::format("OpenGL error {:#x} after {}", error, after_what));
}

GlProgram::GlProgram(const char* fragment_source) {
    const GLuint vertex = compiled(GL_VERTEX_SHADER, kVertexSource);
    const GLuint fragment = compiled(GL_FRAGMENT_SHADER, fragment_source);
    program_ = glCreateProgram();
    glAttachShader(program_, vertex);
    glAttachShader(program_, fragment);
    glLinkProgram(program_);
    glDeleteShader(vertex);
    glDeleteShader(fragment);
    GLint done = GL_FALSE;
    glGetProgramiv(program_, GL_LINK_STATUS, &done);
    if (done != GL_TRUE) {
        std::array<char, 2048> words{};
        glGetProgramInfoLog(program_, static_cast<GLsizei>(words.size()), nullptr, words.data());
        glDeleteProgram(program_);
        refuse(words.data());
    }
    glGenVertexArrays(1, &vertex_array_);
}

GlProgram::~GlProgram() {
    glDeleteVertexArrays(1, &vertex_array_);
    glDeleteProgram(program_);
}

GLint GlProgram::uniform(const char* name) const {
    const GLint location = glGetUniformLocation(program_, name);
    ISOSEAM_CHECK(location >= 0, std::string(name));
    return location;
}

void GlProgram::draw() const {
    glBindVertexArray(vertex_array_);
    glDrawArrays(GL_TRIANGLES, 0, 3);
}

}  // namespace isoseam
