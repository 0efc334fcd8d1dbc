// The shader against the reference on the CPU, for fields of every form, without a screen.

#include "stimuli/gl/field_drawing.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <numeric>

#include "support/offscreen.h"
#include "support/random_picture.h"

using namespace isoseam;

namespace {

constexpr int kWidth = 320;
constexpr int kHeight = 240;
constexpr std::uint64_t kPictures = 40;

int differing(const std::vector<std::uint16_t>& a, const std::vector<std::uint16_t>& b) {
    REQUIRE(a.size() == b.size());
    int count = 0;
    for (std::size_t i = 0; i < a.size(); ++i)
        count += a[i] != b[i] ? 1 : 0;
    return count;
}

}  // namespace

// Both compute in whole numbers: nothing may differ, on edges either, with or without dither.
TEST_CASE("the shader draws the reference's codes, bit for bit") {
    const int bits = GENERATE(8, 10);
    const test::OffscreenContext context;
    const test::OffscreenBuffer buffer(kWidth, kHeight, bits);
    FieldDrawing drawing;
    std::size_t forms = 0;
    int divided_rings = 0;
    for (std::uint64_t i = 0; i < kPictures; ++i) {
        const Dither dither{static_cast<DitherKind>(i % 3), 42 + i, 3 * i};
        FieldPicture picture = test::random_picture(i, bits, kWidth, kHeight, dither);
        const FieldGeometry& field = picture.layout.geometry();
        forms |=
            std::size_t{1} << (3 * static_cast<unsigned>(field.shape) + static_cast<unsigned>(field.parts));
        divided_rings += drawn_layout(picture).has_divided_ring() ? 1 : 0;
        CAPTURE(i, bits);
        drawing.draw(picture);
        CHECK(differing(buffer.codes().codes, draw_reference(picture).codes) == 0);
        // The next frame, a turned knob, another odd one out, a ring in one piece: what changes is sent.
        picture.dither.frame += 1;
        picture.second.linear[1] = 0.5 * picture.second.linear[1] + 0.2;
        picture.odd_quadrant = (picture.odd_quadrant + 1) % 4;
        if (picture.ring_second)
            picture.ring_second = picture.ring;
        drawing.draw(picture);
        CHECK(differing(buffer.codes().codes, draw_reference(picture).codes) == 0);
    }
    CHECK(forms == 0x1FF);  // three shapes in halves, quadrants and as a spot
    CHECK(divided_rings >= 3);
}

TEST_CASE("before dither the shader is within 1/4096 of a code of the reference") {
    const int bits = GENERATE(8, 10);
    const test::OffscreenContext context;
    const test::OffscreenBuffer buffer(kWidth, kHeight, 32);
    FieldDrawing drawing;
    double worst = 0.0;
    for (std::uint64_t i = 0; i < kPictures; ++i) {
        const FieldPicture picture =
            test::random_picture(i, bits, kWidth, kHeight, {DitherKind::noise, 1, 1});
        drawing.draw_levels(picture);
        const std::vector<float> drawn = buffer.values();
        const std::vector<double> reference = reference_levels(picture);
        REQUIRE(drawn.size() == reference.size());
        for (std::size_t k = 0; k < drawn.size(); ++k) {
            const double difference = std::abs(static_cast<double>(drawn[k]) - reference[k]);
            worst = difference <= worst ? worst : difference;  // no number is a difference too
        }
    }
    CHECK(worst <= 1.0 / 4096.0);
}

TEST_CASE("edges mix light: read back, an edge pixel emits the sum of what covers it") {
    const test::OffscreenContext context;
    const test::OffscreenBuffer buffer(kWidth, kHeight, 32);
    FieldDrawing drawing;
    // Light of a level by the tone response itself, between codes by their lights.
    const ToneResponse tone_response = ToneResponse::power(2.2);
    const auto light_of = [&](double level) {
        const double code = std::min(std::floor(level), 1022.0);
        const double lower = tone_response.linear_from_drive(code / 1023.0);
        return lower + (level - code) * (tone_response.linear_from_drive((code + 1.0) / 1023.0) - lower);
    };
    for (std::uint64_t i = 0; i < kPictures; ++i) {
        FieldPicture picture = test::random_picture(i, 10, kWidth, kHeight, {DitherKind::noise, 1, 1});
        picture.tone_first = picture.tone_second = picture.tone_surround = test::example_tones().front();
        const FieldLayout layout = drawn_layout(picture);
        const bool has_hole = layout.geometry().shape == FieldShape::annulus;
        const RegionLight& hidden = has_hole ? picture.surround : picture.first;
        const RegionLight& fixation = picture.mark_hidden ? hidden : picture.fixation;
        const RegionLight ring_second = picture.ring_second.value_or(picture.ring);
        drawing.draw_levels(picture);
        const std::vector<float> levels = buffer.values();
        double worst = 0.0;
        for (int row = 0; row < kHeight; ++row) {
            for (int column = 0; column < kWidth; ++column) {
                const RegionShares shares = layout.shares(column, row, picture.odd_quadrant);
                const auto place =
                    3 * (static_cast<std::size_t>(row) * kWidth + static_cast<std::size_t>(column));
                for (std::size_t k = 0; k < 3; ++k) {
                    const double expected =
                        shares.first * picture.first.linear[k] + shares.second * picture.second.linear[k] +
                        shares.surround * picture.surround.linear[k] + shares.fixation * fixation.linear[k] +
                        shares.ring * picture.ring.linear[k] + shares.ring_second * ring_second.linear[k];
                    worst = std::max(worst,
                                     std::abs(light_of(static_cast<double>(levels[place + k])) - expected));
                }
            }
        }
        CAPTURE(i);
        // Shares are whole 65535ths; levels come back in floats.
        CHECK(worst <= 5.0 / 65535.0);
    }
}

TEST_CASE("read back, a dithered field of 2 degrees has at least 12 bits") {
    const int bits = GENERATE(8, 10);
    const DitherKind kind = GENERATE(DitherKind::noise, DitherKind::ordered);
    const test::OffscreenContext context;
    const test::OffscreenBuffer buffer(160, 160, bits);
    FieldDrawing drawing;
    ViewingGeometry viewing;
    viewing.distance_mm = 600.0;
    viewing.pixel_pitch_mm = Degrees::from_degrees(2.0).extent_mm(600.0) / 140.0;
    viewing.width_px = 160;
    viewing.height_px = 160;
    viewing.centre_x_px = 80.0;
    viewing.centre_y_px = 80.0;
    FieldGeometry field;
    field.parts = FieldParts::spot;
    const FieldLayout layout(field, viewing);
    const ToneTable& tone = test::example_tones().front();
    const double full = (1 << bits) - 1;
    // Steps of a screen of 12 bits: what is read back follows each, and lies nearer to it than half a step.
    double worst_steps = 0.0;
    for (std::uint64_t i = 0; i < 100; ++i) {
        const std::uint64_t code_12 = RandomStream{4, 1007}.below(i, 4096);
        const double linear =
            ToneResponse::power(2.2).linear_from_drive(static_cast<double>(code_12) / 4095.0);
        const RegionLight light{{linear, linear, linear}, {0, 0, 0}};
        FieldPicture picture(layout, bits, tone);
        picture.first = picture.second = picture.surround = picture.fixation = light;
        picture.dither = {kind, 9, i};
        drawing.draw(picture);
        const CodeImage image = buffer.codes();
        double emitted = 0.0;
        int pixels = 0;
        for (int row = 0; row < 160; ++row) {
            for (int column = 0; column < 160; ++column) {
                if (layout.part_shares(column, row)[0] == 1.0) {
                    emitted += ToneResponse::power(2.2).linear_from_drive(image.at(column, row, 1) / full);
                    ++pixels;
                }
            }
        }
        const double code_read = 4095.0 * ToneResponse::power(2.2).drive_from_linear(emitted / pixels);
        worst_steps = std::max(worst_steps, std::abs(code_read - static_cast<double>(code_12)));
    }
    CAPTURE(bits, worst_steps);
    CHECK(worst_steps < 0.5);
}

TEST_CASE("what a picture must not hold does not reach the shader") {
    const test::OffscreenContext context;
    const test::OffscreenBuffer buffer(kWidth, kHeight, 10);
    FieldDrawing drawing;
    FieldPicture picture = test::random_picture(1, 10, kWidth, kHeight);
    for (const double wrong : {std::nan(""), -1e-9, 1.0 + 1e-9, HUGE_VAL}) {
        picture.first.linear[0] = wrong;
        CHECK_THROWS_WITH(drawing.draw(picture), Catch::Contains("linear[channel] = "));
    }
}
