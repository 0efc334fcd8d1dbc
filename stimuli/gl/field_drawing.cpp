#include "stimuli/gl/field_drawing.h"

#include <algorithm>

#include "stimuli/blue_noise.h"
#include "stimuli/gl/field_shader.h"

namespace isoseam {

namespace {

// Texture units.
constexpr int kCells = 0;
constexpr int kEdges = 1;
constexpr int kLights = 2;
constexpr int kRanks = 3;

constexpr GLint kShareDigits = 16;
static_assert(std::uint32_t{1} << kShareDigits == kWholeShare);

void set_vector(GLint place, const std::array<std::uint32_t, 3>& values) {
    glUniform3ui(place, values[0], values[1], values[2]);
}

// Sends three channels for each region, in the shader's order.
template <class Number>
void set_by_region(GLint place, const std::array<DrawnRegion, kRegionCount>& regions, const Number& number) {
    std::array<GLuint, 3 * kRegionCount> values{};
    for (std::size_t i = 0; i < values.size(); ++i)
        values[i] = static_cast<GLuint>(number(regions[i / 3], i % 3));
    glUniform3uiv(place, static_cast<GLsizei>(kRegionCount), values.data());
}

}  // namespace

FieldDrawing::Places::Places(const GlProgram& program)
    : level_code(program.uniform("level_code")),
      level_share(program.uniform("level_share")),
      light_high(program.uniform("light_high")),
      light_middle(program.uniform("light_middle")),
      light_low(program.uniform("light_low")),
      table_of(program.uniform("table_of")),
      full_code(program.uniform("full_code")),
      puts_out_levels(program.uniform("puts_out_levels")),
      dither(program.uniform("dither")),
      dither_seed(program.uniform("dither_seed")),
      dither_channel(program.uniform("dither_channel")),
      dither_shift_x(program.uniform("dither_shift_x")),
      dither_shift_y(program.uniform("dither_shift_y")) {}

FieldDrawing::FieldDrawing() : program_(kFieldShader), places_(program_) {
    program_.use();
    glUniform1i(program_.uniform("cells"), kCells);
    glUniform1i(program_.uniform("edges"), kEdges);
    glUniform1i(program_.uniform("lights"), kLights);
    glUniform1i(program_.uniform("ranks"), kRanks);
    glUniform1i(program_.uniform("share_digits"), kShareDigits);
    ranks_.set(GL_R16UI, blue_noise_ranks());
}

void FieldDrawing::set_layout(const FieldLayout& layout) {
    if (layout_ == layout)
        return;
    const FieldMask mask = field_mask(layout);
    glUniform2i(program_.uniform("box_corner"), mask.left_px, mask.top_px);
    glUniform2i(program_.uniform("box_size"), mask.width_px, mask.height_px);
    glUniform1i(program_.uniform("height_px"), layout.viewing().height_px);
    cells_.set(GL_R32UI, mask.cells);
    std::vector<std::uint16_t> shares;
    for (const FieldMask::Shares& edge : mask.edges)
        shares.insert(shares.end(), edge.begin(), edge.end());
    edges_.set(GL_R16UI, shares);
    check_gl("sending a field's mask");
    layout_ = layout;
}

void FieldDrawing::set_lights(const FieldPicture& picture) {
    const std::array<const ToneTable*, 3> tables{&picture.tone_first.get(), &picture.tone_second.get(),
                                                 &picture.tone_surround.get()};
    // Tables are compared by content: another one may have come to stand at the same place in memory.
    const auto is_shown = [&](std::size_t k) {
        return (*shown_lights_)[k] == tables[k]->light_of_code(picture.bits);
    };
    if (shown_lights_ && is_shown(0) && is_shown(1) && is_shown(2))
        return;
    shown_lights_.emplace();
    std::vector<std::uint32_t> words;
    for (std::size_t k = 0; k < tables.size(); ++k) {
        (*shown_lights_)[k] = tables[k]->light_of_code(picture.bits);
        for (const ToneTable::LightOfCode& channel : (*shown_lights_)[k]) {
            for (const std::uint64_t light : channel) {
                words.push_back(static_cast<std::uint32_t>(light >> 32U));
                words.push_back(static_cast<std::uint32_t>(light));
            }
        }
    }
    lights_.set(GL_RG32UI, words);
    glUniform1ui(places_.full_code, (1U << static_cast<unsigned>(picture.bits)) - 1U);
}

void FieldDrawing::set_regions(const FieldPicture& picture) {
    const std::array<DrawnRegion, kRegionCount> regions = drawn_regions(picture);
    std::array<GLint, kRegionCount> table_of{};
    for (std::size_t k = 0; k < kRegionCount; ++k)
        table_of[k] = regions[k].tone == &picture.tone_first.get()    ? 0
                      : regions[k].tone == &picture.tone_second.get() ? 1
                                                                      : 2;
    if (table_of != table_of_ || !regions_) {
        table_of_ = table_of;
        glUniform1iv(places_.table_of, static_cast<GLsizei>(kRegionCount), table_of.data());
    }
    if (regions_ == regions)
        return;
    regions_ = regions;
    set_by_region(places_.level_code, regions, [](const auto& r, std::size_t i) { return r.level[i].code; });
    set_by_region(places_.level_share, regions,
                  [](const auto& r, std::size_t i) { return r.level[i].share; });
    set_by_region(places_.light_high, regions,
                  [](const auto& r, std::size_t i) { return r.light[i] >> 32U; });
    set_by_region(places_.light_middle, regions,
                  [](const auto& r, std::size_t i) { return r.light[i] >> 16U & 0xFFFFU; });
    set_by_region(places_.light_low, regions,
                  [](const auto& r, std::size_t i) { return r.light[i] & 0xFFFFU; });
}

void FieldDrawing::set_dither(const Dither& dither) {
    if (dither_ == dither)
        return;
    const DitherSeeds seeds = dither_seeds(dither);
    if (!dither_ || dither_->kind != dither.kind)
        glUniform1i(places_.dither, static_cast<GLint>(dither.kind));
    dither_ = dither;
    glUniform2ui(places_.dither_seed, seeds.block, seeds.pixel);
    glUniform3uiv(places_.dither_channel, 2, seeds.channel[0].data());
    set_vector(places_.dither_shift_x, seeds.shift_x);
    set_vector(places_.dither_shift_y, seeds.shift_y);
}

void FieldDrawing::draw(const FieldPicture& picture, bool levels) {
    check_picture(picture);
    program_.use();
    set_layout(drawn_layout(picture));
    set_lights(picture);
    set_regions(picture);
    set_dither(picture.dither);
    if (puts_out_levels_ != levels)
        glUniform1i(places_.puts_out_levels, levels ? 1 : 0);
    puts_out_levels_ = levels;
    cells_.bind(kCells);
    edges_.bind(kEdges);
    lights_.bind(kLights);
    ranks_.bind(kRanks);
    program_.draw();
    check_gl("drawing a field");
}

void FieldDrawing::draw(const FieldPicture& picture) {
    draw(picture, false);
}

void FieldDrawing::draw_levels(const FieldPicture& picture) {
    draw(picture, true);
}

}  // namespace isoseam
