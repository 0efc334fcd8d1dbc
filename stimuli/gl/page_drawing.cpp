#include "stimuli/gl/page_drawing.h"

#include <fmt/format.h>

#include "base/errors.h"

namespace isoseam {

namespace {

// Without ink a pixel has the background's exact code. Edges of letters are mixed in drive: nobody measures
// them.
constexpr const char* kFragmentSource = R"(#version 330 core
uniform sampler2D mask;
uniform int height_px;
uniform vec3 background;
uniform vec3 ink;
out vec4 colour;
void main() {
    ivec2 pixel = ivec2(int(gl_FragCoord.x), height_px - 1 - int(gl_FragCoord.y));
    float share = texelFetch(mask, pixel, 0).r;
    colour = vec4(share == 0.0 ? background : mix(background, ink, share), 1.0);
}
)";

}  // namespace

PageDrawing::PageDrawing() : program_(kFragmentSource) {
    glGenTextures(1, &mask_texture_);
}

PageDrawing::~PageDrawing() {
    glDeleteTextures(1, &mask_texture_);
}

void PageDrawing::draw(const Page& page, int width_px, int height_px, int bits) {
    const double full = static_cast<double>((1 << bits) - 1);
    std::array<double, 3> background{};
    for (std::size_t channel = 0; channel < 3; ++channel) {
        background[channel] = page.background_code[channel] / full;
        ISOSEAM_CHECK(background[channel] <= 1.0, fmt::format("code = {}", page.background_code[channel]));
    }
    const PageMask mask = setter_.set(page, width_px, height_px);
    const auto ink = static_cast<float>(ink_level(background));

    program_.use();
    glActiveTexture(GL_TEXTURE0);
    glBindTexture(GL_TEXTURE_2D, mask_texture_);
    glPixelStorei(GL_UNPACK_ALIGNMENT, 1);
    glTexImage2D(GL_TEXTURE_2D, 0, GL_R8, mask.width, mask.height, 0, GL_RED, GL_UNSIGNED_BYTE,
                 mask.ink.data());
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, GL_NEAREST);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, GL_NEAREST);
    glUniform1i(program_.uniform("mask"), 0);
    glUniform1i(program_.uniform("height_px"), height_px);
    glUniform3f(program_.uniform("background"), static_cast<float>(background[0]),
                static_cast<float>(background[1]), static_cast<float>(background[2]));
    glUniform3f(program_.uniform("ink"), ink, ink, ink);
    program_.draw();
    check_gl("drawing a page");
}

}  // namespace isoseam
