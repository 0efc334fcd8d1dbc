#include "stimuli/gl/code_drawing.h"

namespace isoseam {
namespace {

constexpr const char* kFragmentSource = R"(#version 330 core
uniform usampler2D codes;
uniform int height_px;
uniform float full_code;
out vec4 colour;

void main() {
    ivec2 pixel = ivec2(int(gl_FragCoord.x), height_px - 1 - int(gl_FragCoord.y));
    colour = vec4(vec3(texelFetch(codes, pixel, 0).rgb) / full_code, 1.0);
}
)";

}  // namespace

CodeDrawing::CodeDrawing() : program_(kFragmentSource) {
    glGenTextures(1, &texture_);
}

CodeDrawing::~CodeDrawing() {
    glDeleteTextures(1, &texture_);
}

void CodeDrawing::draw(const CodeImage& image) {
    program_.use();
    glActiveTexture(GL_TEXTURE0);
    glBindTexture(GL_TEXTURE_2D, texture_);
    glPixelStorei(GL_UNPACK_ALIGNMENT, 1);
    glTexImage2D(GL_TEXTURE_2D, 0, GL_RGB16UI, image.width, image.height, 0, GL_RGB_INTEGER,
                 GL_UNSIGNED_SHORT, image.codes.data());
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, GL_NEAREST);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, GL_NEAREST);
    glUniform1i(program_.uniform("codes"), 0);
    glUniform1i(program_.uniform("height_px"), image.height);
    glUniform1f(program_.uniform("full_code"), static_cast<float>((1 << image.bits) - 1));
    program_.draw();
    check_gl("drawing a picture of codes");
}

}  // namespace isoseam
