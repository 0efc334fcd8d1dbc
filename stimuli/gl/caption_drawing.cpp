#include "stimuli/gl/caption_drawing.h"

#include <algorithm>
#include <cmath>

namespace isoseam {

namespace {

// White ink is drawn at this share of full drive. On black this gives about a fifth of white's light.
constexpr float kWhiteInk = 0.47F;

// Pixels without ink keep what was drawn before.
constexpr const char* kFragmentSource = R"(#version 330 core
uniform sampler2D mask;
uniform ivec2 corner;
uniform int height_px;
uniform vec3 background;
uniform vec3 ink;
uniform float ink_share;
out vec4 colour;
void main() {
    ivec2 pixel = ivec2(int(gl_FragCoord.x), height_px - 1 - int(gl_FragCoord.y)) - corner;
    float share = ink_share * texelFetch(mask, pixel, 0).r;
    if (share == 0.0)
        discard;
    colour = vec4(mix(background, ink, share), 1.0);
}
)";

void mirror(PageMask& mask) {
    for (int y = 0; y < mask.height; ++y) {
        const auto row = mask.ink.begin() + static_cast<std::ptrdiff_t>(y) * mask.width;
        std::reverse(row, row + mask.width);
    }
}

}  // namespace

CaptionDrawing::CaptionDrawing() : program_(kFragmentSource) {
    glGenTextures(1, &mask_texture_);
}

CaptionDrawing::~CaptionDrawing() {
    glDeleteTextures(1, &mask_texture_);
}

// The band below the field. It is as wide as it can be with the field's centre in its middle.
CaptionDrawing::Band CaptionDrawing::band_below(const FieldLayout& layout) {
    const ViewingGeometry& viewing = layout.viewing();
    const double half_px = std::min(viewing.centre_x_px, viewing.width_px - viewing.centre_x_px);
    Band band;
    band.width_px = static_cast<int>(2.0 * half_px);
    band.left_px = static_cast<int>(viewing.centre_x_px - half_px);
    // A pixel more, since an edge through a pixel reaches over the whole of it.
    band.top_px = static_cast<int>(std::ceil(viewing.centre_y_px + layout.extent_px())) + 1;
    band.height_px = viewing.height_px - band.top_px;
    return band;
}

void CaptionDrawing::set(const std::string& words, const FieldLayout& layout, const PageSetter& setter) {
    if (words_ == words && layout_ == layout)
        return;
    words_ = words;
    layout_ = layout;
    band_ = band_below(layout);
    const ViewingGeometry& viewing = layout.viewing();
    std::optional<PageMask> mask;
    if (band_.width_px > 0 && band_.height_px > 0)
        mask = setter.caption(words, {band_.width_px, band_.height_px, viewing.width_px, viewing.height_px});
    fits_ = mask.has_value();
    if (!fits_)
        return;
    if (viewing.mirrored)
        mirror(*mask);
    glActiveTexture(GL_TEXTURE0);
    glBindTexture(GL_TEXTURE_2D, mask_texture_);
    glPixelStorei(GL_UNPACK_ALIGNMENT, 1);
    glTexImage2D(GL_TEXTURE_2D, 0, GL_R8, mask->width, mask->height, 0, GL_RED, GL_UNSIGNED_BYTE,
                 mask->ink.data());
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, GL_NEAREST);
    glTexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, GL_NEAREST);
}

bool CaptionDrawing::draw(const std::string& words, const FieldPicture& picture, const PageSetter& setter) {
    set(words, picture.layout, setter);
    if (!fits_)
        return false;
    const int height_px = picture.layout.viewing().height_px;
    const double full = static_cast<double>((1 << picture.bits) - 1);
    std::array<double, 3> background{};
    for (std::size_t channel = 0; channel < 3; ++channel)
        background[channel] = picture.surround.code[channel] / full;
    const auto ink = static_cast<float>(ink_level(background));
    program_.use();
    glActiveTexture(GL_TEXTURE0);
    glBindTexture(GL_TEXTURE_2D, mask_texture_);
    glUniform1i(program_.uniform("mask"), 0);
    glUniform2i(program_.uniform("corner"), band_.left_px, band_.top_px);
    glUniform1i(program_.uniform("height_px"), height_px);
    glUniform3f(program_.uniform("background"), static_cast<float>(background[0]),
                static_cast<float>(background[1]), static_cast<float>(background[2]));
    glUniform3f(program_.uniform("ink"), ink, ink, ink);
    glUniform1f(program_.uniform("ink_share"), ink > 0.5F ? kWhiteInk : 1.0F);
    glEnable(GL_SCISSOR_TEST);
    // OpenGL counts rows from below.
    glScissor(band_.left_px, height_px - band_.top_px - band_.height_px, band_.width_px, band_.height_px);
    program_.draw();
    glDisable(GL_SCISSOR_TEST);
    check_gl("drawing a caption");
    return true;
}

}  // namespace isoseam
