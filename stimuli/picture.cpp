#include "stimuli/picture.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/errors.h"

namespace isoseam {

namespace {

bool is_of_second_light(const FieldPicture& picture, int part) {
    const FieldParts parts = picture.layout.geometry().parts;
    return parts == FieldParts::halves ? part == 1
                                       : parts == FieldParts::quadrants && part == picture.odd_quadrant;
}

DrawnRegion drawn(const FieldPicture& picture, const RegionLight& light, const ToneTable& tone) {
    DrawnRegion region;
    region.tone = &tone;
    for (std::size_t channel = 0; channel < 3; ++channel) {
        region.light[channel] = light_units(light.linear[channel]);
        region.level[channel] = picture.dither.kind == DitherKind::none
                                    ? ToneLevel{light.code[channel], 0}
                                    : level_of(tone.light_of_code(picture.bits)[channel],
                                               region.light[channel] * FieldMask::kFull);
    }
    return region;
}

std::array<ToneLevel, 3> edge_levels(const std::array<DrawnRegion, kRegionCount>& regions,
                                     const FieldMask::Shares& shares, int bits) {
    const auto largest =
        static_cast<std::size_t>(std::max_element(shares.begin(), shares.end()) - shares.begin());
    std::array<ToneLevel, 3> levels;
    for (std::size_t channel = 0; channel < 3; ++channel) {
        std::uint64_t light = 0;
        for (std::size_t k = 0; k < kRegionCount; ++k)
            light += shares[k] * regions[k].light[channel];
        levels[channel] = level_of(regions[largest].tone->light_of_code(bits)[channel], light);
    }
    return levels;
}

// Calls `use` with the levels of each pixel, row by row.
template <class Use>
void for_each_pixel(const FieldPicture& picture, const Use& use) {
    check_picture(picture);
    const FieldMask mask = field_mask(drawn_layout(picture));
    const std::array<DrawnRegion, kRegionCount> regions = drawn_regions(picture);
    const ViewingGeometry& viewing = picture.layout.viewing();
    for (int row = 0; row < viewing.height_px; ++row) {
        for (int column = 0; column < viewing.width_px; ++column) {
            const std::uint32_t cell = mask.cell(column, row);
            use(column, row,
                cell < kRegionCount ? regions[cell].level
                                    : edge_levels(regions, mask.edges[cell - kRegionCount], picture.bits));
        }
    }
}

void check_tone(const ToneTable& tone, int bits) {
    for (const ToneTable::LightOfCode& lights : tone.light_of_code(bits))
        ISOSEAM_CHECK(lights.size() == std::size_t{1} << static_cast<unsigned>(bits));
}

}  // namespace

FieldPicture::FieldPicture(FieldLayout of_layout, int of_bits, const ToneTable& tone)
    : layout(std::move(of_layout)), bits(of_bits), tone_first(tone), tone_second(tone), tone_surround(tone) {}

FieldLayout drawn_layout(const FieldPicture& picture) {
    const bool is_divided = picture.ring_second && *picture.ring_second != picture.ring;
    return is_divided ? picture.layout.with_divided_ring() : picture.layout;
}

std::array<DrawnRegion, kRegionCount> drawn_regions(const FieldPicture& picture) {
    std::array<DrawnRegion, kRegionCount> regions;
    for (int part = 0; part < 4; ++part) {
        const bool is_second = is_of_second_light(picture, part);
        regions[static_cast<std::size_t>(part)] = drawn(picture, is_second ? picture.second : picture.first,
                                                        is_second ? picture.tone_second : picture.tone_first);
    }
    const auto region = [&](FieldRegion which) -> DrawnRegion& {
        return regions[static_cast<std::size_t>(which)];
    };
    region(FieldRegion::ring_first) = drawn(picture, picture.ring, picture.tone_surround);
    region(FieldRegion::ring_second) =
        drawn(picture, picture.ring_second.value_or(picture.ring), picture.tone_surround);
    region(FieldRegion::surround) = drawn(picture, picture.surround, picture.tone_surround);
    const bool has_hole = picture.layout.geometry().shape == FieldShape::annulus;
    region(FieldRegion::fixation) = picture.mark_hidden
                                        ? region(has_hole ? FieldRegion::surround : FieldRegion::part_0)
                                        : drawn(picture, picture.fixation, picture.tone_surround);
    return regions;
}

void check_picture(const FieldPicture& picture) {
    ISOSEAM_CHECK(picture.bits == 8 || picture.bits == 10, fmt::format("bits = {}", picture.bits));
    ISOSEAM_CHECK_BETWEEN(picture.odd_quadrant, 0, 3);
    const FieldGeometry& field = picture.layout.geometry();
    ISOSEAM_CHECK(!picture.ring_second || (field.parts == FieldParts::halves && field.ring_size > Degrees{}),
                  "a second light of the ring without halves and a ring");
    ISOSEAM_CHECK(!picture.mark_hidden || field.parts == FieldParts::spot, "a hidden mark without a spot");
    const int full = (1 << picture.bits) - 1;
    const RegionLight& ring_second = picture.ring_second ? *picture.ring_second : picture.ring;
    for (const RegionLight* light : {&picture.first, &picture.second, &picture.surround, &picture.fixation,
                                     &picture.ring, &ring_second}) {
        for (std::size_t channel = 0; channel < 3; ++channel) {
            ISOSEAM_CHECK_BETWEEN(light->linear[channel], 0.0, 1.0);
            ISOSEAM_CHECK_LE(light->code[channel], full);
        }
    }
    for (const ToneTable& tone : {picture.tone_first, picture.tone_second, picture.tone_surround})
        check_tone(tone, picture.bits);
}

RegionLight region_light(const LinearDrive& linear, const DisplayModel& display, int bits) {
    ISOSEAM_CHECK_EQ(display.primary_count(), 3);
    const DriveCode code = code_from_linear(linear, display, bits);
    RegionLight light;
    for (std::size_t channel = 0; channel < 3; ++channel) {
        light.linear[channel] = linear.fractions[static_cast<Eigen::Index>(channel)];
        light.code[channel] = code.values[channel];
    }
    return light;
}

CodeImage draw_reference(const FieldPicture& picture) {
    const ViewingGeometry& viewing = picture.layout.viewing();
    CodeImage image{viewing.width_px, viewing.height_px, picture.bits, {}};
    image.codes.reserve(static_cast<std::size_t>(image.width) * static_cast<std::size_t>(image.height) * 3);
    const DitherSeeds seeds = dither_seeds(picture.dither);
    for_each_pixel(picture, [&](int column, int row, const std::array<ToneLevel, 3>& levels) {
        const std::array<std::uint32_t, 3> thresholds = dither_thresholds(seeds, column, row);
        for (std::size_t channel = 0; channel < 3; ++channel) {
            const ToneLevel& level = levels[channel];
            image.codes.push_back(
                static_cast<std::uint16_t>(level.code + (level.share > thresholds[channel] ? 1U : 0U)));
        }
    });
    return image;
}

std::vector<double> reference_levels(const FieldPicture& picture) {
    std::vector<double> levels;
    for_each_pixel(picture, [&](int, int, const std::array<ToneLevel, 3>& of_pixel) {
        for (const ToneLevel& level : of_pixel)
            levels.push_back(level.code + static_cast<double>(level.share) / kWholeShare);
    });
    return levels;
}

}  // namespace isoseam
