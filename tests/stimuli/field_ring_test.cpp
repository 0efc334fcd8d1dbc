// The ring around a field, in one piece or divided.

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "support/desk_field.h"
#include "support/tolerances.h"

using namespace isoseam;
using namespace isoseam::test;

TEST_CASE("a ring lies between the field and the surround") {
    FieldGeometry geometry = field_of(4.0);
    geometry.ring_size = Degrees::from_degrees(6.0);
    geometry.gap = Degrees::from_degrees(0.2);
    SECTION("round") {
        const FieldLayout layout(geometry, desk_screen());
        CHECK(total_px(layout).ring ==
              Approx(std::numbers::pi * (std::pow(layout.ring_px(), 2.0) - std::pow(layout.outer_px(), 2.0)))
                  .epsilon(1e-9));
        CHECK(region_at(layout, 100, 20) == 'r');
        CHECK(region_at(layout, 0, 40) == 's');  // the gap shows the surround, not the ring
        CHECK(region_at(layout, 0, 100) == 'r');
        CHECK(region_at(layout, 140, 0) == 's');
    }
    SECTION("around a square it is a square, around an annulus the hole is not part of it") {
        geometry.shape = FieldShape::square;
        const FieldLayout square(geometry, desk_screen());
        CHECK(total_px(square).ring ==
              Approx(4.0 * (std::pow(square.ring_px(), 2.0) - std::pow(square.outer_px(), 2.0)))
                  .epsilon(test::kFiveDigits));
        geometry.shape = FieldShape::annulus;
        geometry.inner_size = Degrees::from_degrees(2.0);
        CHECK(region_at(FieldLayout(geometry, desk_screen()), 20, 20) == 's');
    }
}

// Areas by plane geometry: of a disc of radius r, a band of half width h along a diameter takes
// 2 (h sqrt(r r - h h) + r r asin(h / r)).
TEST_CASE("a divided ring has a side for each half, with the gap between them") {
    FieldGeometry geometry = field_of(4.0);
    geometry.ring_size = Degrees::from_degrees(6.0);
    geometry.gap = Degrees::from_degrees(0.2);
    geometry.split_angle_deg = GENERATE(0.0, 90.0, 45.0, -30.0);
    CAPTURE(geometry.split_angle_deg);
    const FieldLayout whole(geometry, desk_screen());
    const FieldLayout divided = whole.with_divided_ring();
    CHECK(!(divided == whole));  // what is kept for one layout is not shown for the other
    const auto side_px = [&](double r) {
        const double h = divided.half_gap_px();
        return 0.5 * std::numbers::pi * r * r - (h * std::sqrt(r * r - h * h) + r * r * std::asin(h / r));
    };
    const double expected_px = side_px(divided.ring_px()) - side_px(divided.outer_px());
    // The few pixels where the gap meets an outline obliquely are not exact.
    CHECK(total_px(divided).ring == Approx(expected_px).epsilon(1e-4));
    CHECK(total_px(divided).ring_second == Approx(expected_px).epsilon(1e-4));
    CHECK(total_px(divided).first == total_px(whole).first);
    CHECK(total_px(whole).ring_second == 0.0);
    // 110 pixels from the centre, across the line and along it.
    const auto at = [&](double x, double y) {
        return region_at(divided, static_cast<int>(std::floor(x)), static_cast<int>(std::floor(y)));
    };
    const double across_x = 110.0 * divided.split_normal_x();
    const double across_y = 110.0 * divided.split_normal_y();
    CHECK(at(-across_x, -across_y) == 'r');
    CHECK(at(across_x, across_y) == 'R');
    CHECK(at(-across_y, across_x) == 's');
    CHECK(region_at(whole, static_cast<int>(std::floor(-across_y)), static_cast<int>(std::floor(across_x))) ==
          'r');
}

TEST_CASE("a divided ring without a gap is as large as one in one piece, around soft edges too") {
    FieldGeometry geometry = field_of(4.0, GENERATE(FieldShape::disc, FieldShape::square));
    geometry.ring_size = Degrees::from_degrees(6.0);
    geometry.edge_width = Degrees::from_degrees(0.5);
    const FieldLayout whole(geometry, desk_screen());
    const FieldLayout divided = whole.with_divided_ring();
    double worst = 0.0;
    for (int column = 150; column < 490; ++column) {
        const RegionShares here = divided.shares(column, 200);
        worst = std::max(worst, std::abs(here.ring + here.ring_second - whole.shares(column, 200).ring));
    }
    CHECK(worst <= 1e-15);
    geometry.gap = Degrees{};
    geometry.hairline = true;
    const FieldLayout lined = FieldLayout(geometry, desk_screen()).with_divided_ring();
    CHECK(region_at(lined, 0, 120) == 's');
    CHECK(region_at(lined, -1, 120) == 'r');
    CHECK(region_at(lined, 1, 120) == 'R');
}

TEST_CASE("only a ring around halves can be divided") {
    FieldGeometry geometry = field_of(4.0);
    CHECK_THROWS_WITH(FieldLayout(geometry, desk_screen()).with_divided_ring(),
                      Catch::Contains("no ring to divide"));
    geometry.ring_size = Degrees::from_degrees(6.0);
    geometry.parts = GENERATE(FieldParts::quadrants, FieldParts::spot);
    CHECK_THROWS_WITH(FieldLayout(geometry, desk_screen()).with_divided_ring(),
                      Catch::Contains("no ring to divide"));
}
