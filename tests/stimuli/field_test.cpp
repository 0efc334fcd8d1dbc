#include "stimuli/field.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "base/errors.h"
#include "support/tolerances.h"

using namespace isoseam;

namespace {

ViewingGeometry desk_screen() {
    ViewingGeometry viewing;
    viewing.distance_mm = 600.0;
    viewing.pixel_pitch_mm = 0.25;
    viewing.width_px = 640;
    viewing.height_px = 480;
    viewing.centre_x_px = 320.0;
    viewing.centre_y_px = 240.0;
    return viewing;
}

FieldGeometry field_of(double size_deg, FieldShape shape = FieldShape::disc) {
    FieldGeometry geometry;
    geometry.size = Degrees::from_degrees(size_deg);
    geometry.shape = shape;
    return geometry;
}

RegionShares total_px(const FieldLayout& layout) {
    RegionShares total;
    for (int row = 0; row < layout.viewing().height_px; ++row) {
        for (int column = 0; column < layout.viewing().width_px; ++column) {
            const RegionShares here = layout.shares(column, row);
            const double sum =
                here.first + here.second + here.surround + here.fixation + here.ring + here.ring_second;
            if (!(std::abs(sum - 1.0) <= 1e-12 && here.first >= 0.0 && here.second >= 0.0 &&
                  here.surround >= 0.0 && here.fixation >= 0.0 && here.ring >= 0.0 &&
                  here.ring_second >= 0.0))
                FAIL("shares of pixel " << column << ", " << row << " add up to " << sum);
            total.first += here.first;
            total.second += here.second;
            total.surround += here.surround;
            total.fixation += here.fixation;
            total.ring += here.ring;
            total.ring_second += here.ring_second;
        }
    }
    return total;
}

// Which region covers the pixel at an offset from the field's centre: x to the right, y down.
char region_at(const FieldLayout& layout, int x, int y) {
    const RegionShares here = layout.shares(320 + x, 240 + y);
    return here.first == 1.0         ? '1'
           : here.second == 1.0      ? '2'
           : here.surround == 1.0    ? 's'
           : here.fixation == 1.0    ? 'f'
           : here.ring == 1.0        ? 'r'
           : here.ring_second == 1.0 ? 'R'
                                     : '?';
}

}  // namespace

TEST_CASE("a field's size in pixels follows the tangent of its angle") {
    const FieldLayout small(field_of(2.0), desk_screen());
    CHECK(small.outer_px() ==
          Approx(600.0 * std::tan(std::numbers::pi / 180.0) / 0.25).epsilon(test::kRoundingOfDoubles));
    // On a flat screen 10 degrees are more than 5 times 2 degrees.
    const FieldLayout large(field_of(10.0), desk_screen());
    CHECK(large.outer_px() ==
          Approx(600.0 * std::tan(5.0 * std::numbers::pi / 180.0) / 0.25).epsilon(test::kRoundingOfDoubles));
    CHECK(large.outer_px() / small.outer_px() > 5.01);
}

TEST_CASE("shares add up to 1, and their sums to the areas of plane geometry") {
    // Of the field: edges are exact, and only the few pixels that two of them cross are not.
    constexpr double kAreaTolerance = 2e-5;
    FieldGeometry geometry = field_of(5.0);
    SECTION("disc, at every kind of split and off the pixels' corners") {
        geometry.split_angle_deg = GENERATE(0.0, 90.0, 45.0, -30.0, 7.7);
        ViewingGeometry viewing = desk_screen();
        viewing.centre_x_px = 311.37;
        viewing.centre_y_px = 247.81;
        const FieldLayout layout(geometry, viewing);
        const double area_px = std::numbers::pi * std::pow(layout.outer_px(), 2.0);
        const RegionShares total = total_px(layout);
        CHECK(std::abs(total.first / (0.5 * area_px) - 1.0) <= kAreaTolerance);
        CHECK(std::abs(total.second / (0.5 * area_px) - 1.0) <= kAreaTolerance);
        CHECK(total.fixation == 0.0);
    }
    SECTION("square with a gap") {
        geometry.shape = FieldShape::square;
        geometry.gap = Degrees::from_degrees(0.25);
        const FieldLayout layout(geometry, desk_screen());
        const double half_px = 2.0 * layout.outer_px() * (layout.outer_px() - layout.half_gap_px());
        const RegionShares total = total_px(layout);
        CHECK(std::abs(total.first / half_px - 1.0) <= kAreaTolerance);
        CHECK(std::abs(total.second / half_px - 1.0) <= kAreaTolerance);
    }
    SECTION("annulus") {
        geometry.shape = FieldShape::annulus;
        geometry.inner_size = Degrees::from_degrees(2.0);
        const FieldLayout layout(geometry, desk_screen());
        const double area_px =
            std::numbers::pi * (std::pow(layout.outer_px(), 2.0) - std::pow(layout.inner_px(), 2.0));
        const RegionShares total = total_px(layout);
        CHECK(std::abs((total.first + total.second) / area_px - 1.0) <= kAreaTolerance);
        CHECK(region_at(layout, 0, 0) == 's');
    }
    SECTION("a gap narrower than a pixel takes its part of each pixel on the line") {
        geometry.gap = Degrees::from_extent_mm(0.1, 600.0);  // 0.4 pixels
        const FieldLayout layout(geometry, desk_screen());
        const RegionShares left = layout.shares(319, 240);
        CHECK(left.first == Approx(0.8).epsilon(test::kFiveDigits));
        CHECK(left.surround == Approx(0.2).epsilon(test::kFiveDigits));
        CHECK(layout.shares(320, 240).second == Approx(0.8).epsilon(test::kFiveDigits));
    }
}

TEST_CASE("which side is which") {
    FieldGeometry geometry = field_of(5.0);
    SECTION("vertical: left and right") {
        const FieldLayout layout(geometry, desk_screen());
        CHECK(region_at(layout, -20, 0) == '1');
        CHECK(region_at(layout, 20, 0) == '2');
        CHECK(half_name(Half::first, geometry) == "left");
        CHECK(half_name(Half::second, geometry) == "right");
        // The line falls between two pixels and leaves no mixed ones.
        CHECK(region_at(layout, -1, 0) == '1');
        CHECK(region_at(layout, 0, 0) == '2');
    }
    SECTION("horizontal: upper and lower") {
        geometry.split_angle_deg = 90.0;
        const FieldLayout layout(geometry, desk_screen());
        CHECK(region_at(layout, 0, -20) == '1');
        CHECK(region_at(layout, 0, 20) == '2');
        CHECK(region_at(layout, 50, -1) == '1');
        CHECK(region_at(layout, 50, 0) == '2');
        CHECK(half_name(Half::first, geometry) == "upper");
        CHECK(half_name(Half::second, geometry) == "lower");
    }
    SECTION("+45: turned anticlockwise, the line's upper end leans to the left") {
        geometry.split_angle_deg = 45.0;
        const FieldLayout layout(geometry, desk_screen());
        CHECK(region_at(layout, 30, -20) == '2');  // upper right, above the line's other end
        CHECK(region_at(layout, -20, 30) == '1');  // lower left
        CHECK(region_at(layout, 20, -30) == '2');
        CHECK(region_at(layout, -30, -30) == '?');  // on the line: upper left
        CHECK(region_at(layout, 30, 30) == '?');    // and lower right
        CHECK(half_name(Half::first, geometry) == "left");
    }
    SECTION("-45 is its mirror image") {
        geometry.split_angle_deg = -45.0;
        const FieldLayout layout(geometry, desk_screen());
        CHECK(region_at(layout, -20, -30) == '1');
        CHECK(region_at(layout, 20, 30) == '2');
        CHECK(region_at(layout, 30, -31) == '?');
    }
}

TEST_CASE("seen in a mirror, a mirrored field is the same field") {
    FieldGeometry geometry = field_of(5.0);
    geometry.split_angle_deg = GENERATE(0.0, 30.0, 90.0);
    geometry.gap = Degrees::from_degrees(0.1);
    ViewingGeometry viewing = desk_screen();
    const FieldLayout plain(geometry, viewing);
    viewing.mirrored = true;
    const FieldLayout mirrored(geometry, viewing);
    double worst = 0.0;
    for (int row = 0; row < 480; ++row) {
        for (int column = 0; column < 640; ++column) {
            const RegionShares a = plain.shares(column, row);
            const RegionShares b = mirrored.shares(639 - column, row);
            worst = std::max({worst, std::abs(a.first - b.first), std::abs(a.second - b.second)});
        }
    }
    CHECK(worst <= 1e-12);
    if (geometry.split_angle_deg == 0.0)
        CHECK(mirrored.shares(300, 240).second == 1.0);
}

TEST_CASE("a fixation mark lies on top") {
    FieldGeometry geometry = field_of(5.0);
    geometry.fixation_size = Degrees::from_degrees(0.5);
    geometry.fixation = FixationMark::dot;
    const FieldLayout dot(geometry, desk_screen());
    CHECK(total_px(dot).fixation ==
          Approx(std::numbers::pi * std::pow(dot.fixation_px(), 2.0)).epsilon(0.01));
    geometry.fixation = FixationMark::cross;
    const FieldLayout cross(geometry, desk_screen());
    const double arm_px = cross.fixation_arm_px();
    CHECK(arm_px == Approx(0.2 * cross.fixation_px()).epsilon(test::kRoundingOfDoubles));
    const double area_px = 8.0 * arm_px * cross.fixation_px() - 4.0 * arm_px * arm_px;
    CHECK(total_px(cross).fixation == Approx(area_px).epsilon(0.01));
    CHECK(region_at(cross, 8, 0) == 'f');
    CHECK(region_at(cross, 8, 8) == '2');
}

TEST_CASE("interior pixels are those with like neighbours") {
    FieldGeometry geometry = field_of(5.0);
    const FieldLayout layout(geometry, desk_screen());
    CHECK(layout.is_interior(300, 240));
    CHECK(layout.is_interior(318, 240));
    CHECK_FALSE(layout.is_interior(319, 240));  // whole, but next to the other half
    CHECK_FALSE(layout.is_interior(320, 240));
    CHECK(layout.is_interior(2, 2));
    CHECK(layout.is_interior(0, 0));
    const int edge = 320 + static_cast<int>(layout.outer_px());
    CHECK_FALSE(layout.is_interior(edge, 240));
}

TEST_CASE("quadrants: the odd one has the second light, wherever it is") {
    FieldGeometry geometry = field_of(5.0);
    geometry.parts = FieldParts::quadrants;
    geometry.gap = Degrees::from_degrees(0.3);
    const FieldLayout layout(geometry, desk_screen());
    const double area_px = std::numbers::pi * layout.outer_px() * layout.outer_px();
    for (int odd = 0; odd < 4; ++odd) {
        for (int quadrant = 0; quadrant < 4; ++quadrant) {
            const int column = quadrant % 2 == 0 ? 290 : 350;
            const int row = quadrant < 2 ? 210 : 270;
            CHECK(layout.shares(column, row, odd).second == (quadrant == odd ? 1.0 : 0.0));
            CHECK(layout.shares(column, row, odd).first == (quadrant == odd ? 0.0 : 1.0));
            CHECK(layout.part_shares(column, row)[static_cast<std::size_t>(quadrant)] == 1.0);
        }
    }
    CHECK(region_at(layout, 50, 0) == 's');
    CHECK(region_at(layout, 0, 50) == 's');
    // Two bands are missing that cross in the middle; each ends on the outline, short of the full diameter.
    const double band_px = 2.0 * layout.half_gap_px();
    const RegionShares total = total_px(layout);
    const double missing_px = 4.0 * layout.outer_px() * band_px - band_px * band_px;
    CHECK(total.first + total.second == Approx(area_px - missing_px).epsilon(2e-4));
    CHECK(total.first == Approx(3.0 * total.second).epsilon(1e-6));

    CHECK(quadrant_name(0, geometry) == "upper left");
    CHECK(quadrant_name(3, geometry) == "lower right");
    geometry.split_angle_deg = 45.0;
    const FieldLayout turned(geometry, desk_screen());
    const std::vector<std::pair<int, int>> places{{-60, 0}, {0, -60}, {0, 60}, {60, 0}};
    for (std::size_t quadrant = 0; quadrant < 4; ++quadrant) {
        CHECK(turned.part_shares(320 + places[quadrant].first, 240 + places[quadrant].second)[quadrant] ==
              1.0);
    }
    CHECK(quadrant_name(0, geometry) == "left");
    CHECK(quadrant_name(1, geometry) == "upper");
    CHECK(quadrant_name(2, geometry) == "lower");
    CHECK(quadrant_name(3, geometry) == "right");
}

TEST_CASE("a spot is one part without a split") {
    FieldGeometry geometry = field_of(5.0);
    geometry.parts = FieldParts::spot;
    const FieldLayout layout(geometry, desk_screen());
    CHECK(region_at(layout, -40, 3) == '1');
    CHECK(region_at(layout, 40, 3) == '1');
    CHECK(total_px(layout).second == 0.0);
    CHECK(total_px(layout).first ==
          Approx(std::numbers::pi * layout.outer_px() * layout.outer_px()).epsilon(1e-9));
}

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

TEST_CASE("a soft edge falls along a raised cosine and takes as much inside as it gives outside") {
    FieldGeometry geometry = field_of(4.0);
    geometry.edge_width = Degrees::from_degrees(0.5);
    const FieldLayout layout(geometry, desk_screen());
    CHECK(layout.edge_px() == Approx(600.0 * 2.0 * std::tan(0.25 * std::numbers::pi / 180.0) / 0.25)
                                  .epsilon(test::kRoundingOfDoubles));
    for (const int column : {300, 390, 400, 403, 410}) {
        const double distance_px = std::hypot(column + 0.5 - 320.0, 0.5) - layout.outer_px();
        const double expected =
            distance_px < -0.5 * layout.edge_px() ? 1.0
            : distance_px > 0.5 * layout.edge_px()
                ? 0.0
                : 0.5 * (1.0 - std::sin(std::numbers::pi * distance_px / layout.edge_px()));
        const RegionShares here = layout.shares(column, 240);
        CHECK(here.first + here.second == Approx(expected).epsilon(test::kFiveDigits));
        CHECK(here.surround == Approx(1.0 - expected).margin(1e-12));
    }
    // Around a circle the outer half of the transition is the longer one: integral over r of a raised cosine.
    const double area_px =
        std::numbers::pi * std::pow(layout.outer_px(), 2.0) +
        std::numbers::pi * std::pow(layout.edge_px(), 2.0) * (0.25 - 2.0 / std::pow(std::numbers::pi, 2.0));
    const RegionShares total = total_px(layout);
    CHECK(total.first + total.second == Approx(area_px).epsilon(1e-4));
    geometry.ring_size = Degrees::from_degrees(5.0);
    const FieldLayout ringed(geometry, desk_screen());
    CHECK(ringed.shares(400, 240).ring ==
          Approx(1.0 - ringed.shares(400, 240).second).epsilon(test::kFiveDigits));
}

TEST_CASE("a hairline is one pixel wide, and sharp where it stands upright or lies level") {
    FieldGeometry geometry = field_of(5.0);
    geometry.hairline = true;
    ViewingGeometry viewing = desk_screen();
    viewing.centre_x_px = GENERATE(320.0, 320.25, 320.5, 320.9);
    viewing.mirrored = GENERATE(false, true);
    CAPTURE(viewing.centre_x_px, viewing.mirrored);
    const auto lit_by_surround = [&](const FieldLayout& layout, bool level) {
        std::vector<double> shares;
        for (int at = -4; at <= 4; ++at) {
            const double share =
                level ? layout.shares(300, 240 + at).surround : layout.shares(320 + at, 270).surround;
            if (share > 0.0)
                shares.push_back(share);
        }
        return shares;
    };
    CHECK(lit_by_surround(FieldLayout(geometry, viewing), false) == std::vector<double>{1.0});
    geometry.split_angle_deg = 90.0;
    CHECK(lit_by_surround(FieldLayout(geometry, viewing), true) == std::vector<double>{1.0});
    geometry.parts = FieldParts::quadrants;
    geometry.split_angle_deg = 0.0;
    CHECK(lit_by_surround(FieldLayout(geometry, viewing), false) == std::vector<double>{1.0});
    CHECK(lit_by_surround(FieldLayout(geometry, viewing), true) == std::vector<double>{1.0});
    geometry.parts = FieldParts::halves;
    geometry.split_angle_deg = 30.0;
    double across = 0.0;
    const FieldLayout oblique(geometry, viewing);
    for (int column = 200; column < 440; ++column)
        across += oblique.shares(column, 250).surround;
    const double outside = 240.0 - 2.0 * std::sqrt(std::pow(oblique.outer_px(), 2.0) - 10.5 * 10.5);
    CHECK(across - outside == Approx(1.0 / std::cos(30.0 * std::numbers::pi / 180.0)).epsilon(0.01));
}

TEST_CASE("a field that cannot be shown is refused with what would do") {
    CHECK_THROWS_WITH(
        FieldLayout(field_of(20.0), desk_screen()),
        "field.size: 20 deg at 600 mm are 846.4 pixels, but around (320, 240) the screen of 640 x 480 "
        "pixels has room for 480.0; make the field smaller, or sit farther away");
    CHECK_THROWS_WITH(
        FieldLayout(field_of(0.1), desk_screen()),
        "field.size: 0.1 deg at 600 mm are 4.2 pixels, fewer than 8; make the field larger, or sit nearer");
    ViewingGeometry off_centre = desk_screen();
    off_centre.centre_x_px = 630.0;
    CHECK_THROWS_WITH(FieldLayout(field_of(2.0), off_centre), Catch::Contains("has room for 20.0"));

    FieldGeometry wrong = field_of(2.0, FieldShape::annulus);
    wrong.inner_size = Degrees::from_degrees(2.0);
    wrong.gap = Degrees::from_degrees(-0.1);
    wrong.split_angle_deg = -90.0;
    wrong.fixation = FixationMark::dot;
    wrong.fixation_size = Degrees::from_degrees(std::nan(""));
    ViewingGeometry nowhere = desk_screen();
    nowhere.distance_mm = 0.0;
    try {
        const FieldLayout layout(wrong, nowhere);
        FAIL("accepted");
    } catch (const InputError& error) {
        std::vector<std::string> keys;
        for (const Fault& fault : error.faults())
            keys.push_back(fault.key);
        CHECK(keys == std::vector<std::string>{"viewing", "field.inner_size", "field.gap", "field.split",
                                               "field.fixation_size"});
    }
    CHECK_THROWS_WITH(FieldLayout(field_of(std::nan("")), desk_screen()),
                      Catch::Contains("field.size: nan deg; write an angle between 0 and 180 deg"));
}

TEST_CASE("forms that contradict themselves are refused, all at once") {
    FieldGeometry wrong = field_of(2.0);
    wrong.parts = FieldParts::spot;
    wrong.gap = Degrees::from_degrees(0.1);
    wrong.hairline = true;
    wrong.edge_width = Degrees::from_degrees(2.0);
    wrong.ring_size = Degrees::from_degrees(3.0);
    CHECK_THROWS_WITH(
        FieldLayout(wrong, desk_screen()),
        Catch::Contains("field.gap: 0.1 deg in a field of one part; leave it out, or split the field") &&
            Catch::Contains(
                "field.hairline: a line between the parts of a field that has only one; leave it out, "
                "or split the field") &&
            Catch::Contains(
                "field.edge_width: 2 deg; write 0 deg or more, and less than 2 deg, so that some of "
                "the field is left in full") &&
            Catch::Contains(
                "field.ring_size: 3 deg; write 0 deg for none, or more than the field with its edge, 4 "
                "deg"));
    FieldGeometry quadrants = field_of(2.0);
    quadrants.parts = FieldParts::quadrants;
    quadrants.split_angle_deg = 90.0;
    CHECK_THROWS_WITH(
        FieldLayout(quadrants, desk_screen()),
        "field.split: 90 deg from vertical in quadrants; write an angle above -45 deg and up to 45 deg: "
        "a cross turned by 90 deg is the same cross");
    FieldGeometry twice = field_of(2.0);
    twice.gap = Degrees::from_degrees(0.1);
    twice.hairline = true;
    CHECK_THROWS_WITH(FieldLayout(twice, desk_screen()),
                      "field.hairline: besides a gap of 0.1 deg; leave one of them out");
    FieldGeometry thin = field_of(2.0);
    thin.edge_width = Degrees::from_degrees(0.01);
    CHECK_THROWS_WITH(
        FieldLayout(thin, desk_screen()),
        "field.edge_width: 0.01 deg at 600 mm are 0.4 pixels, fewer than 2; write 0 deg for a sharp "
        "edge, or a wider one");
    FieldGeometry nothing = field_of(2.0);
    nothing.edge_width = Degrees::from_degrees(std::nan(""));
    nothing.ring_size = Degrees::from_degrees(std::nan(""));
    CHECK_THROWS_WITH(FieldLayout(nothing, desk_screen()), Catch::Contains("field.edge_width: nan deg") &&
                                                               Catch::Contains("field.ring_size: nan deg"));
    FieldGeometry wide = field_of(2.0);
    wide.ring_size = Degrees::from_degrees(20.0);
    CHECK_THROWS_WITH(
        FieldLayout(wide, desk_screen()),
        "field.ring_size: 20 deg at 600 mm are 846.4 pixels, but around (320, 240) the screen of 640 x "
        "480 pixels has room for 480.0; make the ring smaller, or sit farther away");
}
