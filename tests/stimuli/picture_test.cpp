#include "stimuli/picture.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "support/random_picture.h"

using namespace isoseam;

namespace {

// A square of 40 x 40 pixels in the middle of 100 x 80, split down the middle.
FieldLayout small_square(double centre_x_px = 50.0) {
    FieldGeometry geometry;
    geometry.shape = FieldShape::square;
    geometry.size = Degrees::from_extent_mm(10.0, 600.0);
    ViewingGeometry viewing;
    viewing.distance_mm = 600.0;
    viewing.pixel_pitch_mm = 0.25;
    viewing.width_px = 100;
    viewing.height_px = 80;
    viewing.centre_x_px = centre_x_px;
    viewing.centre_y_px = 40.0;
    return FieldLayout(geometry, viewing);
}

const RegionLight kBlack{{0.0, 0.0, 0.0}, {0, 0, 0}};
const RegionLight kWhite{{1.0, 1.0, 1.0}, {1023, 1023, 1023}};
// A code that is not what the linear fractions would round to: only the interior's rule can produce it.
const RegionLight kMarked{{0.5, 0.5, 0.5}, {100, 200, 300}};

constexpr int kBits = 10;

}  // namespace

TEST_CASE("inside a region a pixel has the region's own code") {
    const ToneTable tone = tone_table(test::invented_display());
    FieldPicture picture(small_square(), kBits, tone);
    picture.first = kMarked;
    picture.second = kWhite;
    const CodeImage image = draw_reference(picture);
    CHECK(image.width == 100);
    CHECK(image.height == 80);
    CHECK(image.at(45, 40, 0) == 100);
    CHECK(image.at(45, 40, 1) == 200);
    CHECK(image.at(45, 40, 2) == 300);
    CHECK(image.at(55, 40, 1) == 1023);
    CHECK(image.at(5, 40, 1) == 0);
    CHECK(image.at(50, 5, 1) == 0);
}

TEST_CASE("on an edge light is mixed, not code") {
    const DisplayModel display = test::invented_display();
    const ToneTable tone = tone_table(display);
    // The square's outline lies a quarter into a pixel: three quarters white, one quarter black.
    FieldPicture picture(small_square(50.25), kBits, tone);
    picture.first = kWhite;
    picture.second = kWhite;
    const CodeImage image = draw_reference(picture);
    const double drive = std::pow(0.75, 1.0 / 2.2);
    CHECK(std::abs(image.at(30, 40, 0) - drive * 1023.0) <= 0.51);
    CHECK(image.at(30, 40, 0) > 0.75 * 1023.0 + 90.0);
    CHECK(image.at(29, 40, 0) == 0);
    CHECK(image.at(31, 40, 0) == 1023);
    CHECK(std::abs(image.at(70, 40, 0) - std::pow(0.25, 1.0 / 2.2) * 1023.0) <= 0.51);
}

TEST_CASE("an edge pixel goes through the tone response of the region that has most of it") {
    const ToneTable steep = tone_table(test::invented_display({620.0, 535.0, 455.0}, 3.0));
    const ToneTable plain = tone_table(test::invented_display({620.0, 535.0, 455.0}, 1.0));
    // The split line is a quarter into pixel 50: a quarter of it is first, the rest second.
    const auto code_on_line = [&](const ToneTable& first, const ToneTable& second) {
        FieldPicture picture(small_square(50.25), kBits, plain);
        picture.first = kWhite;
        picture.tone_first = first;
        picture.tone_second = second;
        return int{draw_reference(picture).at(50, 40, 0)};
    };
    CHECK(code_on_line(steep, plain) == std::lround(0.25 * 1023.0));
    CHECK(code_on_line(plain, steep) == std::lround(std::cbrt(0.25) * 1023.0));
}

TEST_CASE("a picture that breaks its promises is refused") {
    const ToneTable tone = tone_table(test::invented_display());
    FieldPicture picture(small_square(), kBits, tone);
    picture.first = kMarked;
    picture.second = kMarked;
    CHECK_NOTHROW(check_picture(picture));
    SECTION("a code deeper than the frame buffer") {
        picture.bits = 8;
        CHECK_THROWS_WITH(check_picture(picture), Catch::Contains("code[channel] = 300"));
    }
    SECTION("no number") {
        picture.second.linear[1] = std::nan("");
        CHECK_THROWS_WITH(draw_reference(picture), Catch::Contains("linear[channel] = nan"));
    }
    SECTION("light outside of the screen's range") {
        picture.ring.linear[2] = 1.0 + 1e-15;
        CHECK_THROWS_WITH(check_picture(picture), Catch::Contains("linear[channel] = 1.0000"));
        picture.ring.linear[2] = -1e-15;
        CHECK_THROWS_WITH(draw_reference(picture), Catch::Contains("linear[channel] = -1e-15"));
    }
    SECTION("no such quadrant") {
        picture.odd_quadrant = 4;
        CHECK_THROWS_WITH(check_picture(picture), Catch::Contains("odd_quadrant = 4"));
    }
    SECTION("a ring of two lights where there is no ring") {
        picture.ring_second = kBlack;
        CHECK_THROWS_WITH(draw_reference(picture),
                          Catch::Contains("a second light of the ring without halves and a ring"));
    }
    SECTION("a mark that hides in neither of two halves") {
        picture.mark_hidden = true;
        CHECK_THROWS_WITH(check_picture(picture), Catch::Contains("a hidden mark without a spot"));
    }
}

TEST_CASE("a ring of two lights lies around its halves, and of two equal ones is one piece, byte for byte") {
    const ToneTable tone = tone_table(test::invented_display());
    FieldGeometry geometry;
    geometry.shape = FieldShape::square;
    geometry.size = Degrees::from_extent_mm(7.5, 600.0);
    geometry.ring_size = Degrees::from_extent_mm(15.0, 600.0);
    geometry.gap = Degrees::from_extent_mm(1.5, 600.0);
    FieldPicture picture(FieldLayout(geometry, small_square().viewing()), kBits, tone);
    picture.first = kWhite;
    picture.second = kWhite;
    picture.ring = kMarked;
    picture.dither.kind = GENERATE(DitherKind::none, DitherKind::noise);
    const CodeImage one_piece = draw_reference(picture);
    picture.ring_second = kMarked;
    CHECK(draw_reference(picture).codes == one_piece.codes);
    picture.ring_second = RegionLight{{0.25, 0.25, 0.25}, {11, 12, 13}};
    const CodeImage divided = draw_reference(picture);
    const std::vector<double> levels = reference_levels(picture);
    const auto level_at = [&](int column, int row) {
        return levels[static_cast<std::size_t>(300 * row + 3 * column)];
    };
    const bool is_dithered = picture.dither.kind != DitherKind::none;
    const auto drive_code = [](double linear) { return 1023.0 * std::pow(linear, 1.0 / 2.2); };
    CHECK(level_at(25, 20) == Approx(is_dithered ? drive_code(0.5) : 100.0).margin(0.01));
    CHECK(level_at(75, 20) == Approx(is_dithered ? drive_code(0.25) : 11.0).margin(0.01));
    CHECK(divided.at(50, 20, 0) == 0);  // the gap goes on through the ring
    CHECK(one_piece.at(50, 20, 0) > 0);
    CHECK(divided.at(50, 40, 0) == 0);
    CHECK(divided.at(40, 40, 0) == 1023);
}

TEST_CASE("a hidden mark cannot be told from what lies around it") {
    const ToneTable spot_tone = tone_table(test::invented_display({620.0, 535.0, 455.0}, 1.8));
    const ToneTable tone = tone_table(test::invented_display());
    FieldGeometry geometry;
    geometry.size = Degrees::from_extent_mm(15.0, 600.0);
    geometry.inner_size = Degrees::from_extent_mm(8.0, 600.0);
    geometry.shape = GENERATE(FieldShape::disc, FieldShape::annulus);
    geometry.parts = FieldParts::spot;
    geometry.fixation = FixationMark::cross;
    geometry.fixation_size = Degrees::from_extent_mm(4.0, 600.0);
    const RegionLight light{{0.3, 0.3, 0.3}, {524, 524, 524}};
    const auto drawn = [&] {
        FieldPicture picture(FieldLayout(geometry, small_square().viewing()), kBits, tone);
        picture.first = light;
        picture.tone_first = spot_tone;
        picture.second = kWhite;
        picture.surround = kMarked;
        picture.mark_hidden = geometry.fixation != FixationMark::none;
        picture.dither.kind = DitherKind::noise;
        return draw_reference(picture).codes;
    };
    const std::vector<std::uint16_t> hidden = drawn();
    geometry.fixation = FixationMark::none;
    CHECK(hidden == drawn());
}

TEST_CASE("ring, spot and odd quadrant have their own lights") {
    const ToneTable tone = tone_table(test::invented_display());
    FieldGeometry geometry;
    geometry.shape = FieldShape::square;
    geometry.size = Degrees::from_extent_mm(10.0, 600.0);
    geometry.ring_size = Degrees::from_extent_mm(15.0, 600.0);
    const RegionLight ring{{0.1, 0.1, 0.1}, {7, 8, 9}};
    const auto code_at = [&](FieldParts parts, int odd, int column, int row) {
        geometry.parts = parts;
        FieldPicture picture(FieldLayout(geometry, small_square().viewing()), kBits, tone);
        picture.first = kMarked;
        picture.second = kWhite;
        picture.ring = ring;
        picture.odd_quadrant = odd;
        return int{draw_reference(picture).at(column, row, 1)};
    };
    CHECK(code_at(FieldParts::halves, 0, 24, 40) == 8);
    CHECK(code_at(FieldParts::spot, 0, 40, 30) == 200);
    CHECK(code_at(FieldParts::spot, 0, 60, 50) == 200);
    CHECK(code_at(FieldParts::quadrants, 1, 60, 30) == 1023);
    CHECK(code_at(FieldParts::quadrants, 2, 60, 30) == 200);
    CHECK(code_at(FieldParts::quadrants, 2, 40, 50) == 1023);
}

namespace {

// Halves of a field of 2 degrees, 140 pixels wide.
FieldLayout two_degrees() {
    ViewingGeometry viewing;
    viewing.distance_mm = 600.0;
    viewing.pixel_pitch_mm = Degrees::from_degrees(2.0).extent_mm(600.0) / 140.0;
    viewing.width_px = 150;
    viewing.height_px = 150;
    viewing.centre_x_px = 75.0;
    viewing.centre_y_px = 75.0;
    return FieldLayout(FieldGeometry{}, viewing);
}

}  // namespace

// The bound that effective_bits() states.
TEST_CASE(
    "in every single frame the mean of a dithered half of 2 degrees is within 1/64 of a code of its target") {
    const int bits = GENERATE(8, 10);
    const DitherKind kind = GENERATE(DitherKind::noise, DitherKind::ordered);
    const ToneTable& tone = test::example_tones().front();
    const FieldLayout layout = two_degrees();
    std::array<std::vector<std::pair<int, int>>, 2> pixels;
    for (int row = 0; row < 150; ++row) {
        for (int column = 0; column < 150; ++column) {
            const PartShares shares = layout.part_shares(column, row);
            for (std::size_t half = 0; half < 2; ++half) {
                if (shares[half] == 1.0)
                    pixels[half].emplace_back(column, row);
            }
        }
    }
    REQUIRE(pixels[0].size() > 7400);
    // Six targets a picture, three channels of two halves: 1,002.
    const RandomStream random{20261125, 1006};
    double worst = 0.0;
    int strangers = 0;
    for (std::uint64_t i = 0; i < 167; ++i) {
        std::array<RegionLight, 2> lights;
        for (std::uint64_t k = 0; k < 6; ++k)
            lights[k / 3].linear[k % 3] = random.uniform(6 * i + k);
        FieldPicture picture(layout, bits, tone);
        picture.first = lights[0];
        picture.second = lights[1];
        picture.dither = {kind, 77, i};
        const CodeImage image = draw_reference(picture);
        for (std::size_t k = 0; k < 6; ++k) {
            const std::size_t half = k / 3;
            const auto channel = static_cast<int>(k % 3);
            const ToneLevel target = level_of(tone.light_of_code(bits)[k % 3],
                                              light_units(lights[half].linear[k % 3]) * FieldMask::kFull);
            double sum = 0.0;
            for (const auto& [column, row] : pixels[half]) {
                const int code = image.at(column, row, channel);
                strangers += code == int(target.code) || code == int(target.code) + 1 ? 0 : 1;
                sum += code;
            }
            const double off = sum / static_cast<double>(pixels[half].size()) - target.code -
                               static_cast<double>(target.share) / kWholeShare;
            worst = std::max(worst, std::abs(off));
        }
    }
    CAPTURE(bits, kind, worst);
    CHECK(strangers == 0);  // no code but the two around the target
    CHECK(worst <= 1.0 / 64.0);
}

TEST_CASE("dither is unbiased in light, not in code") {
    // Between the two lowest codes of 8 bits half of the light is a third of a code by the curve.
    const DisplayModel display = test::invented_display();
    const ToneTable tone = tone_table(display);
    const double one = std::pow(1.0 / 255.0, 2.2);
    const double two = std::pow(2.0 / 255.0, 2.2);
    const RegionLight light{{0.5 * (one + two), 0.0, 1.0}, {0, 0, 0}};
    FieldPicture picture(small_square(), 8, tone);
    picture.first = light;
    picture.second = light;
    picture.dither = {DitherKind::noise, 1, 1};
    const CodeImage image = draw_reference(picture);
    double mean = 0.0;
    for (int row = 21; row < 59; ++row) {
        for (int column = 31; column < 69; ++column) {
            const int code = image.at(column, row, 0);
            mean += (code == 1 ? one : two) / (38.0 * 38.0);
            REQUIRE((code == 1 || code == 2));
            // Black and full need no dither.
            REQUIRE(image.at(column, row, 1) == 0);
            REQUIRE(image.at(column, row, 2) == 255);
        }
    }
    CHECK(mean == Approx(light.linear[0]).epsilon(0.01));
}
