#pragma once
// Pictures of fields of every form, at random: small and large, sharp and soft, on screens with every kind of
// tone response, in lights from black to full.

#include <cmath>
#include <vector>

#include "base/random.h"
#include "stimuli/picture.h"
#include "support/invented_display.h"

namespace isoseam::test {

// Tone tables that live as long as the program.
inline const std::vector<ToneTable>& example_tones() {
    static const std::vector<ToneTable> tones = [] {
        std::vector<ToneTable> all;
        for (const ToneResponse& tone :
             {ToneResponse::power(2.2), ToneResponse::power(1.0), ToneResponse::power(2.6),
              ToneResponse::of_form(ToneForm::gain_offset_gamma, {0.05, 2.35}),
              ToneResponse::of_form(ToneForm::offset_power, {0.055, 2.4}),
              ToneResponse::of_form(ToneForm::s_shaped, {2.4, 2.5, 0.3})}) {
            Calibration calibration = invented_calibration({620.0, 535.0, 455.0});
            for (Primary& primary : calibration.primaries)
                primary.tone = tone;
            all.push_back(tone_table(DisplayModel(calibration)));
        }
        return all;
    }();
    return tones;
}

// Picture `index` of a series, on a screen of this size (at least 320 x 240). Without dither unless asked
// for.
inline FieldPicture random_picture(std::uint64_t index, int bits, int width_px, int height_px,
                                   const Dither& dither = {}) {
    const RandomStream random{20261126, 1003};
    std::uint64_t draw = 100 * index;
    const auto uniform = [&](double from, double to) { return from + (to - from) * random.uniform(draw++); };
    const auto below = [&](std::uint64_t bound) { return random.below(draw++, bound); };

    ViewingGeometry viewing;
    viewing.distance_mm = 600.0;
    viewing.pixel_pitch_mm = 0.25;
    viewing.width_px = width_px;
    viewing.height_px = height_px;
    viewing.centre_x_px = std::round(4.0 * (0.5 * width_px + uniform(-8.0, 8.0))) / 4.0;
    viewing.centre_y_px = 0.5 * height_px + (below(2) == 0 ? 0.0 : uniform(-8.0, 8.0));
    viewing.mirrored = below(2) == 1;

    // Sizes in pixels, from the ring inwards.
    const double room_px = std::min(width_px, height_px) - 18.0;
    const auto of_px = [](double pixels) { return Degrees::from_extent_mm(0.25 * pixels, 600.0); };
    FieldGeometry field;
    const bool has_ring = below(2) == 1;
    const bool is_soft = below(2) == 1;
    const double ring_px = uniform(40.0, room_px);
    const double edge_px = is_soft ? uniform(2.5, 0.1 * ring_px) : 0.0;
    const double size_px = std::max(has_ring ? uniform(0.5, 0.85) * ring_px : ring_px - edge_px, 20.0);
    field.shape = static_cast<FieldShape>(below(3));
    field.parts = static_cast<FieldParts>(below(3));
    field.size = of_px(size_px);
    field.inner_size = of_px(0.45 * size_px);
    field.ring_size = has_ring ? of_px(ring_px) : Degrees{};
    field.edge_width = of_px(edge_px);
    const double widest_deg = field.parts == FieldParts::quadrants ? 45.0 : 90.0;
    field.split_angle_deg = below(2) == 0 ? 0.0 : uniform(-0.99, 1.0) * widest_deg;
    if (field.parts != FieldParts::spot) {
        field.hairline = below(3) == 0;
        field.gap = field.hairline || below(2) == 0 ? Degrees{} : of_px(uniform(0.2, 6.0));
    }
    field.fixation = static_cast<FixationMark>(below(3));
    field.fixation_size = of_px(uniform(3.0, 12.0));

    const ToneTable& tone_first = example_tones()[below(example_tones().size())];
    const ToneTable& tone_second = example_tones()[below(example_tones().size())];
    const auto full = static_cast<double>((1 << bits) - 1);
    const auto light = [&] {
        RegionLight region;
        for (std::size_t channel = 0; channel < 3; ++channel) {
            const std::uint64_t kind = below(6);
            region.linear[channel] = kind == 0   ? 0.0
                                     : kind == 1 ? 1.0
                                     : kind == 2 ? std::pow(10.0, uniform(-9.0, 0.0))
                                                 : uniform(0.0, 1.0);
            region.code[channel] = static_cast<std::uint16_t>(std::lround(region.linear[channel] * full));
        }
        return region;
    };
    FieldPicture picture(FieldLayout(field, viewing), bits, tone_first);
    picture.tone_second = tone_second;
    picture.first = light();
    picture.second = light();
    picture.surround = light();
    picture.fixation = light();
    if (below(2) != 0)
        picture.tone_surround = example_tones().front();
    picture.ring = light();
    picture.odd_quadrant = static_cast<int>(below(4));
    picture.dither = dither;
    if (has_ring && field.parts == FieldParts::halves && below(4) != 0)
        picture.ring_second = below(4) == 0 ? picture.ring : light();
    picture.mark_hidden = field.parts == FieldParts::spot && below(2) == 1;
    return picture;
}

}  // namespace isoseam::test
