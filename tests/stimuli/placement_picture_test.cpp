#include "stimuli/placement_picture.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

using namespace isoseam;

namespace {

ViewingGeometry viewing() {
    ViewingGeometry viewing;
    viewing.distance_mm = 600.0;
    viewing.pixel_pitch_mm = 0.25;
    viewing.width_px = 640;
    viewing.height_px = 400;
    viewing.centre_x_px = 300.0;
    viewing.centre_y_px = 210.0;
    return viewing;
}

constexpr std::array<std::uint16_t, 3> kLine{9, 8, 7};

bool is_line(const CodeImage& image, int column, int row) {
    return image.at(column, row, 0) == 9 && image.at(column, row, 1) == 8 && image.at(column, row, 2) == 7;
}

}  // namespace

TEST_CASE("the placement picture has the field's outline and split, a ruler in degrees, and else black") {
    FieldGeometry field;
    field.size = Degrees::from_degrees(4.0);
    field.split_angle_deg = 0.0;
    const FieldLayout layout(field, viewing());
    const CodeImage image = placement_picture(layout, 8, kLine);
    const double radius = 600.0 / 0.25 * std::tan(2.0 * std::numbers::pi / 180.0);
    // The outline at 30 degrees from the horizontal, where neither split nor ruler is.
    int on_outline = 0;
    for (int k = -1; k <= 1; ++k) {
        const double r = radius + k;
        on_outline += is_line(image, static_cast<int>(300.0 + r * std::cos(0.5)),
                              static_cast<int>(210.0 + r * std::sin(0.5)))
                          ? 1
                          : 0;
    }
    CHECK(on_outline >= 1);
    CHECK(is_line(image, 300, 210 - 20));  // the split
    CHECK(is_line(image, 10, 210));        // the ruler reaches over the screen
    CHECK(is_line(image, 300, 390));
    // Ticks at 1, 5 and -5 degrees: tan, not the angle itself.
    for (const int degree : {1, 5, -5}) {
        const int column =
            static_cast<int>(std::floor(300.0 + 2400.0 * std::tan(degree * std::numbers::pi / 180.0)));
        CHECK(is_line(image, column, 214));
        CHECK(is_line(image, column, 219) == (degree % 5 == 0));
    }
    CHECK(image.at(20, 20, 0) == 0);
    CHECK(image.at(320, 190, 1) == 0);  // inside the right half
}

TEST_CASE("the placement picture is dim: only lines, a small share of the screen") {
    FieldGeometry field;
    field.size = Degrees::from_degrees(4.0);
    const CodeImage image = placement_picture(FieldLayout(field, viewing()), 8, kLine);
    int lit = 0;
    for (int row = 0; row < image.height; ++row)
        for (int column = 0; column < image.width; ++column)
            lit += image.at(column, row, 0) > 0 ? 1 : 0;
    CHECK(lit < 0.02 * image.width * image.height);
}
