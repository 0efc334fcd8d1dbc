// Holds a graphics card to the reference drawing on the CPU, and measures what a frame costs. Needs no
// screen.
//
//   gpu_check [--quick]
//
// 0: the card draws exactly; 1: it does not; 3: there is no OpenGL 3.3 here.

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <string_view>

#include "bench/frame_cost.h"
#include "stimuli/gl/field_drawing.h"
#include "support/offscreen.h"
#include "support/random_picture.h"

using namespace isoseam;

namespace {

constexpr int kWidth = 320;
constexpr int kHeight = 240;
// What a comparison in floats of 32 bits can lose: half of the last bit of a level of 10 bits.
constexpr double kLargestDifferenceInCodes = 1.0 / 4096.0;

bool check_levels(FieldDrawing& drawing, int bits, std::uint64_t pictures) {
    const test::OffscreenBuffer buffer(kWidth, kHeight, 32);
    double largest = 0.0;
    std::size_t values = 0;
    for (std::uint64_t i = 0; i < pictures; ++i) {
        Dither dither;  // any: levels are the ones of dithered pictures then, also inside of regions
        dither.kind = DitherKind::noise;
        const FieldPicture picture = test::random_picture(i, bits, kWidth, kHeight, dither);
        buffer.bind();
        drawing.draw_levels(picture);
        const std::vector<float> drawn = buffer.values();
        const std::vector<double> reference = reference_levels(picture);
        for (std::size_t k = 0; k < reference.size(); ++k) {
            const double difference = std::abs(static_cast<double>(drawn[k]) - reference[k]);
            largest = difference <= largest ? largest : difference;  // no number counts as a difference
        }
        values += reference.size();
    }
    fmt::print(
        "{:>2} bits, before dither: largest difference {:.3g} of a code (1/4096 = {:.3g}) in {} pictures, {} "
        "values\n",
        bits, largest, kLargestDifferenceInCodes, pictures, values);
    return largest <= kLargestDifferenceInCodes;
}

bool check_codes(FieldDrawing& drawing, int bits, std::uint64_t pictures) {
    const test::OffscreenBuffer buffer(kWidth, kHeight, bits);
    std::size_t values = 0;
    std::size_t wrong = 0;
    for (std::uint64_t i = 0; i < pictures; ++i) {
        const Dither dither{static_cast<DitherKind>(i % 3), 0x123456789ABCDEFU + i, 1000 * i + (i << 40U)};
        const FieldPicture picture = test::random_picture(1'000'000 + i, bits, kWidth, kHeight, dither);
        buffer.bind();
        drawing.draw(picture);
        const std::vector<std::uint16_t> drawn = buffer.codes().codes;
        const std::vector<std::uint16_t> reference = draw_reference(picture).codes;
        for (std::size_t k = 0; k < reference.size(); ++k)
            wrong += drawn[k] != reference[k] ? 1 : 0;
        values += reference.size();
    }
    fmt::print("{:>2} bits, codes without dither, with noise and ordered: {} of {} differ\n", bits, wrong,
               values);
    return wrong == 0;
}

// Read back: how far the mean code of a field of 2 degrees (140 pixels wide) is from its target in any frame.
// A frame buffer without dither is off by half a code of its own: that many bits it would need.
bool check_depth(FieldDrawing& drawing, int bits, DitherKind kind, std::uint64_t frames) {
    constexpr int kSide = 144;
    const test::OffscreenBuffer buffer(kSide, kSide, bits);
    ViewingGeometry viewing;
    viewing.distance_mm = 600.0;
    viewing.pixel_pitch_mm = Degrees::from_degrees(2.0).extent_mm(600.0) / 140.0;
    viewing.width_px = viewing.height_px = kSide;
    viewing.centre_x_px = viewing.centre_y_px = 0.5 * kSide;
    FieldGeometry field;
    field.parts = FieldParts::spot;
    const FieldLayout layout(field, viewing);
    const ToneTable& tone = test::example_tones().front();
    const RandomStream random{5, 1008};
    double largest = 0.0;
    for (std::uint64_t frame = 0; frame < frames; ++frame) {
        RegionLight light;
        for (std::size_t k = 0; k < 3; ++k)
            light.linear[k] = random.uniform(3 * frame + k);
        FieldPicture picture(layout, bits, tone);
        picture.first = light;
        picture.second = light;
        picture.dither = {kind, 8, frame};
        drawing.draw(picture);
        const CodeImage image = buffer.codes();
        const std::array<ToneLevel, 3> target = drawn_regions(picture)[0].level;
        std::array<double, 3> sum{};
        int pixels = 0;
        for (int row = 0; row < kSide; ++row) {
            for (int column = 0; column < kSide; ++column) {
                if (layout.part_shares(column, row)[0] != 1.0)
                    continue;
                ++pixels;
                for (std::size_t k = 0; k < 3; ++k)
                    sum[k] += image.at(column, row, static_cast<int>(k));
            }
        }
        for (std::size_t k = 0; k < 3; ++k) {
            const double wanted = target[k].code + static_cast<double>(target[k].share) / kWholeShare;
            const double off = std::abs(sum[k] / pixels - wanted);
            largest = off <= largest ? largest : off;
        }
    }
    fmt::print(
        "{:>2} bits, {}: mean over 2 degrees off by {:.5f} of a code at most in {} single frames of 3 "
        "targets: as "
        "near as {:.1f} bits\n",
        bits, kind == DitherKind::noise ? "noise" : "ordered", largest, frames,
        bits + std::log2(0.5 / largest));
    return largest <= 1.0 / 64.0;
}

}  // namespace

int main(int argc, char** argv) {
    const bool quick = argc > 1 && std::string_view(argv[1]) == "--quick";
    std::unique_ptr<test::OffscreenContext> context;
    try {
        context = std::make_unique<test::OffscreenContext>();
    } catch (const std::exception& error) {
        fmt::print(stderr, "{}\n", error.what());
        return 3;
    }
    fmt::print("{}\n", context->renderer());
    const std::uint64_t pictures = quick ? 18 : 300;
    bool exact = true;
    {
        FieldDrawing drawing;
        for (const int bits : {8, 10}) {
            exact = check_levels(drawing, bits, pictures) && exact;
            exact = check_codes(drawing, bits, pictures) && exact;
            for (const DitherKind kind : {DitherKind::noise, DitherKind::ordered})
                exact = check_depth(drawing, bits, kind, quick ? 40 : 400) && exact;
        }
    }
    test::print_frame_cost(quick ? 640 : 3840, quick ? 360 : 2160, quick ? 9 : 301);
    fmt::print("{}\n", exact ? "exact" : "NOT exact");
    return exact ? 0 : 1;
}
