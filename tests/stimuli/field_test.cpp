#include "stimuli/field.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "support/desk_field.h"
#include "support/tolerances.h"

using namespace isoseam;
using namespace isoseam::test;

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
