#include "stimuli/gl/field_drawing.h"

#include <array>
#include <cmath>

namespace isoseam {

namespace {

// The same signed distances and shares as FieldLayout::shares, arranged for 32-bit floats. A pixel's offset
// from the centre is kept as a whole number and a rest of at most half a pixel; what would cancel near an
// edge (squares of offsets against the squared radius, offsets times the split's direction) is summed in
// integers first. So a share is off by some 1e-7 and not by the 1e-4 of a plain sqrt(x x + y y) - R on a
// large screen: next to a black region, where the inverse tone response is steep, 1e-4 would be several
// codes.
constexpr const char* kFragmentSource = R"(#version 330 core
uniform ivec2 centre_whole;      // of the field, from the upper left corner
uniform vec2 centre_rest;
uniform int height_px;
uniform bool is_mirrored;
uniform int shape;               // 0 disc, 1 square, 2 annulus
uniform ivec4 squared_whole;     // squared radius: outer, inner, fixation
uniform vec4 squared_rest;
uniform ivec4 length_whole;      // length: outer, inner, fixation, arm of the cross
uniform vec4 length_rest;
uniform float half_gap;
uniform ivec2 split_whole;       // normal of the split line in 4096ths
uniform vec2 split_rest;
uniform int fixation;            // 0 none, 1 dot, 2 cross
uniform vec3 linear[4];          // first, second, surround, fixation
uniform vec3 code[4];            // as fractions of full code
uniform float full_code;
uniform samplerBuffer tone;      // drive at linear = i / 4095; three channels of first, second, surround
out vec4 colour;

ivec2 whole;                     // this pixel's offset from the centre, as the observer sees it: whole + rest
vec2 rest;

float coverage(float distance) { return clamp(0.5 - distance, 0.0, 1.0); }

float circle_distance(int k) {
    float radius = float(length_whole[k]) + length_rest[k];
    float excess = float(whole.x * whole.x + whole.y * whole.y - squared_whole[k]) +
                   (2.0 * dot(vec2(whole), rest) + dot(rest, rest) - squared_rest[k]);
    return excess / (length(vec2(whole) + rest) + radius);
}

vec2 box_distance(int k_x, int k_y) {
    ivec2 side = ivec2(float(whole.x) + rest.x < 0.0 ? -1 : 1, float(whole.y) + rest.y < 0.0 ? -1 : 1);
    return vec2(side * whole - ivec2(length_whole[k_x], length_whole[k_y])) +
           (vec2(side) * rest - vec2(length_rest[k_x], length_rest[k_y]));
}

float outline_distance() {
    if (shape == 0)
        return circle_distance(0);
    vec2 box = box_distance(0, 0);
    return shape == 1 ? max(box.x, box.y) : max(circle_distance(0), -circle_distance(1));
}

float fixation_coverage() {
    if (fixation == 0)
        return 0.0;
    if (fixation == 1)
        return coverage(circle_distance(2));
    vec2 lying = box_distance(2, 3);
    vec2 standing = box_distance(3, 2);
    return coverage(min(max(lying.x, lying.y), max(standing.x, standing.y)));
}

float split_distance() {
    return float(whole.x * split_whole.x + whole.y * split_whole.y) / 4096.0 +
           (dot(vec2(whole), split_rest) + dot(rest, vec2(split_whole) / 4096.0 + split_rest));
}

float drive_from_table(int table, int channel, float fraction) {
    float place = clamp(fraction, 0.0, 1.0) * 4095.0;
    int below = min(int(place), 4094);
    int first = (table * 3 + channel) * 4096 + below;
    return mix(texelFetch(tone, first).r, texelFetch(tone, first + 1).r, place - float(below));
}

void main() {
    ivec2 pixel = ivec2(int(gl_FragCoord.x), height_px - 1 - int(gl_FragCoord.y));
    whole = pixel - centre_whole;
    rest = 0.5 - centre_rest;
    if (is_mirrored) {
        whole.x = -whole.x;
        rest.x = -rest.x;
    }
    float inside = coverage(outline_distance());
    float across = split_distance();
    float mark = fixation_coverage();
    float first = inside * coverage(across + half_gap);
    float second = inside * coverage(half_gap - across);
    float unmarked = 1.0 - mark;
    float share[4] = float[4](first * unmarked, second * unmarked, max(1.0 - first - second, 0.0) * unmarked, mark);

    int largest = 0;
    for (int k = 1; k < 4; ++k) {
        if (share[k] > share[largest])
            largest = k;
    }
    if (share[largest] == 1.0) {
        colour = vec4(code[largest], 1.0);
        return;
    }
    vec3 mixed = share[0] * linear[0] + share[1] * linear[1] + share[2] * linear[2] + share[3] * linear[3];
    int table = min(largest, 2);
    vec3 drive = vec3(drive_from_table(table, 0, mixed.r), drive_from_table(table, 1, mixed.g),
                      drive_from_table(table, 2, mixed.b));
    colour = vec4(floor(drive * full_code + 0.5) / full_code, 1.0);
}
)";
static_assert(ToneTable::kSize == 4096, "the shader names this size");

// A length or its square as whole number and rest.
struct Parts {
    int whole;
    float rest;
};

Parts in_parts(double value) {
    const double whole = std::floor(value);
    return {static_cast<int>(whole), static_cast<float>(value - whole)};
}

void set_parts(GLint whole_location, GLint rest_location, const std::array<double, 4>& values) {
    std::array<int, 4> whole{};
    std::array<float, 4> rest{};
    for (std::size_t k = 0; k < values.size(); ++k) {
        const Parts parts = in_parts(values[k]);
        whole[k] = parts.whole;
        rest[k] = parts.rest;
    }
    glUniform4iv(whole_location, 1, whole.data());
    glUniform4fv(rest_location, 1, rest.data());
}

int shape_number(FieldShape shape) {
    return shape == FieldShape::disc ? 0 : shape == FieldShape::square ? 1 : 2;
}

int fixation_number(FixationMark mark) {
    return mark == FixationMark::none ? 0 : mark == FixationMark::dot ? 1 : 2;
}

}  // namespace

FieldDrawing::FieldDrawing() : program_(kFragmentSource) {
    glGenBuffers(1, &tone_buffer_);
    glGenTextures(1, &tone_texture_);
}

FieldDrawing::~FieldDrawing() {
    glDeleteTextures(1, &tone_texture_);
    glDeleteBuffers(1, &tone_buffer_);
}

void FieldDrawing::set_layout(const FieldLayout& layout) const {
    const ViewingGeometry& viewing = layout.viewing();
    const Parts x = in_parts(viewing.centre_x_px);
    const Parts y = in_parts(viewing.centre_y_px);
    glUniform2i(program_.uniform("centre_whole"), x.whole, y.whole);
    glUniform2f(program_.uniform("centre_rest"), x.rest, y.rest);
    glUniform1i(program_.uniform("height_px"), viewing.height_px);
    glUniform1i(program_.uniform("is_mirrored"), viewing.mirrored ? 1 : 0);

    const double outer = layout.outer_px();
    const double inner = layout.inner_px();
    const double mark = layout.fixation_px();
    glUniform1i(program_.uniform("shape"), shape_number(layout.geometry().shape));
    glUniform1i(program_.uniform("fixation"), fixation_number(layout.geometry().fixation));
    set_parts(program_.uniform("length_whole"), program_.uniform("length_rest"),
              {outer, inner, mark, layout.fixation_arm_px()});
    set_parts(program_.uniform("squared_whole"), program_.uniform("squared_rest"),
              {outer * outer, inner * inner, mark * mark, 0.0});
    glUniform1f(program_.uniform("half_gap"), static_cast<float>(layout.half_gap_px()));

    constexpr double kSplitSteps = 4096.0;
    const double normal_x = std::round(layout.split_normal_x() * kSplitSteps);
    const double normal_y = std::round(layout.split_normal_y() * kSplitSteps);
    glUniform2i(program_.uniform("split_whole"), static_cast<int>(normal_x), static_cast<int>(normal_y));
    glUniform2f(program_.uniform("split_rest"),
                static_cast<float>(layout.split_normal_x() - normal_x / kSplitSteps),
                static_cast<float>(layout.split_normal_y() - normal_y / kSplitSteps));
}

void FieldDrawing::set_lights(const FieldPicture& picture) const {
    const auto full = static_cast<float>((1 << picture.bits) - 1);
    std::vector<float> linear;
    std::vector<float> code;
    for (const RegionLight* light : {&picture.first, &picture.second, &picture.surround, &picture.fixation}) {
        for (std::size_t channel = 0; channel < 3; ++channel) {
            linear.push_back(static_cast<float>(light->linear[channel]));
            code.push_back(static_cast<float>(light->code[channel]) / full);
        }
    }
    glUniform3fv(program_.uniform("linear"), 4, linear.data());
    glUniform3fv(program_.uniform("code"), 4, code.data());
    glUniform1f(program_.uniform("full_code"), full);
}

void FieldDrawing::set_tones(const FieldPicture& picture) {
    std::vector<float> tones;
    tones.reserve(std::size_t{9} * ToneTable::kSize);
    for (const ToneTable* table : {picture.tone_first, picture.tone_second, picture.tone_surround}) {
        for (const std::vector<float>& channel : table->drive_from_linear)
            tones.insert(tones.end(), channel.begin(), channel.end());
    }
    glActiveTexture(GL_TEXTURE0);
    glBindTexture(GL_TEXTURE_BUFFER, tone_texture_);
    if (tones != tones_) {
        tones_ = std::move(tones);
        glBindBuffer(GL_TEXTURE_BUFFER, tone_buffer_);
        glBufferData(GL_TEXTURE_BUFFER, static_cast<GLsizeiptr>(tones_.size() * sizeof(float)), tones_.data(),
                     GL_STATIC_DRAW);
        glTexBuffer(GL_TEXTURE_BUFFER, GL_R32F, tone_buffer_);
    }
    glUniform1i(program_.uniform("tone"), 0);
}

void FieldDrawing::draw(const FieldPicture& picture) {
    check_picture(picture);
    program_.use();
    set_layout(picture.layout);
    set_lights(picture);
    set_tones(picture);
    program_.draw();
    check_gl("drawing a field");
}

}  // namespace isoseam
