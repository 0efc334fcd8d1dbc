#include "stimuli/picture.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "support/invented_display.h"

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

}  // namespace

TEST_CASE("inside a region a pixel has the region's own code") {
    const ToneTable tone = tone_table(test::invented_display());
    const CodeImage image = draw_reference(
        FieldPicture{small_square(), kMarked, kWhite, kBlack, kBlack, 10, &tone, &tone, &tone});
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
    const CodeImage image = draw_reference(
        FieldPicture{small_square(50.25), kWhite, kWhite, kBlack, kBlack, 10, &tone, &tone, &tone});
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
        const CodeImage image = draw_reference(
            FieldPicture{small_square(50.25), kWhite, kBlack, kBlack, kBlack, 10, &first, &second, &plain});
        return int{image.at(50, 40, 0)};
    };
    CHECK(code_on_line(steep, plain) == std::lround(0.25 * 1023.0));
    CHECK(code_on_line(plain, steep) == std::lround(std::cbrt(0.25) * 1023.0));
}

TEST_CASE("the tone table is the display's inverse tone response") {
    const DisplayModel display = test::invented_display();
    const ToneTable tone = tone_table(display);
    for (const std::vector<float>& channel : tone.drive_from_linear) {
        REQUIRE(channel.size() == 4096);
        CHECK(channel.front() == 0.0F);
        CHECK(channel.back() == 1.0F);
        CHECK(static_cast<double>(channel[1234]) ==
              Approx(std::pow(1234.0 / 4095.0, 1.0 / 2.2)).epsilon(1e-6));
    }
    CHECK_THROWS_WITH(tone_table(test::invented_display({620.0, 560.0, 510.0, 450.0})),
                      Catch::Contains("4 primaries"));
}

TEST_CASE("a picture that breaks its promises is refused") {
    const ToneTable tone = tone_table(test::invented_display());
    FieldPicture picture{small_square(), kMarked, kMarked, kBlack, kBlack, 10, &tone, &tone, &tone};
    CHECK_NOTHROW(check_picture(picture));
    SECTION("a code deeper than the frame buffer") {
        picture.bits = 8;
        CHECK_THROWS_WITH(check_picture(picture), Catch::Contains("code = 300"));
    }
    SECTION("no number") {
        picture.second.linear[1] = std::nan("");
        CHECK_THROWS_WITH(draw_reference(picture), Catch::Contains("linear = nan"));
    }
    SECTION("no tone table") {
        picture.tone_second = nullptr;
        CHECK_THROWS_AS(draw_reference(picture), std::logic_error);
    }
}
