#include "stimuli/field_faults.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <string>
#include <vector>

#include "base/errors.h"
#include "support/desk_field.h"

using namespace isoseam;
using namespace isoseam::test;

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
