#include "base/quantity.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <numbers>

#include "base/errors.h"
#include "support/error_text.h"

using namespace isoseam;
using isoseam::test::input_error_text;

namespace {

std::string error_of(std::string_view text, Dimension dimension) {
    return input_error_text([&] { parse_quantity(text, dimension); });
}

constexpr double kRounding = 1e-12;

}  // namespace

TEST_CASE("quantities are read in any of their units") {
    CHECK(parse_quantity("589 nm", Dimension::wavelength_nm) == 589.0);
    CHECK(parse_quantity(" 2deg ", Dimension::angle_deg) == 2.0);
    CHECK(parse_quantity("30 arcmin", Dimension::angle_deg) == Approx(0.5).epsilon(kRounding));
    CHECK(parse_quantity("60 cm", Dimension::length_mm) == 600.0);
    CHECK(parse_quantity("0.6 m", Dimension::length_mm) == Approx(600.0).epsilon(kRounding));
    CHECK(parse_quantity("+20 cd/m2", Dimension::luminance_cd_m2) == 20.0);
    CHECK(parse_quantity("1e-2 W/(sr m2)", Dimension::radiance_w_sr_m2) == 0.01);
    CHECK(parse_quantity("5 %", Dimension::fraction) == 0.05);
    CHECK(parse_quantity("-100%", Dimension::fraction) == -1.0);
    CHECK(parse_quantity("250 ms", Dimension::duration_s) == 0.25);
    CHECK(parse_quantity("2 min", Dimension::duration_s) == 120.0);
    CHECK(parse_quantity("1 h", Dimension::duration_s) == 3600.0);
    CHECK(parse_quantity("2856 K", Dimension::temperature_k) == 2856.0);
    CHECK(parse_quantity("1 year", Dimension::age_years) == 1.0);
    CHECK(parse_quantity("15 Hz", Dimension::frequency_hz) == 15.0);
}

TEST_CASE("a wrong quantity is told with its column and the units that would do") {
    CHECK(error_of("2", Dimension::angle_deg) ==
          "column 1: '2' has no unit; write one after it: deg, arcmin");
    CHECK(error_of("5", Dimension::fraction) == "column 1: '5' has no unit; write one after it: %");
    CHECK(error_of("20 cd", Dimension::luminance_cd_m2) == "column 4: unknown unit 'cd'; write cd/m2");
    CHECK(error_of("2 km", Dimension::length_mm) == "column 3: unknown unit 'km'; write one of: mm, cm, m");
    CHECK(error_of("two deg", Dimension::angle_deg) ==
          "column 1: 'two' is not a number; write a number and a unit (deg, arcmin)");
    CHECK(error_of("", Dimension::wavelength_nm) == "column 1: no number; write a number and a unit (nm)");
    for (const char* text : {"nan deg", "inf deg", "-inf deg", "1e999 deg"}) {
        CHECK_THAT(error_of(text, Dimension::angle_deg), Catch::Contains("is not a finite number"));
    }
    CHECK_THAT(error_of("+-2 deg", Dimension::angle_deg), Catch::Contains("'+-2' is not a number"));
}

TEST_CASE("a plain number stands alone") {
    CHECK(parse_number(" -0.25 ") == -0.25);
    CHECK(input_error_text([] { parse_number("0.5 nm"); }) ==
          "column 5: 'nm' follows the number; write the number alone, without a unit");
    CHECK(input_error_text([] { parse_number("0,5"); }) ==
          "column 2: ',5' follows the number; write the number alone, without a unit");
}

TEST_CASE("an extent and its angle") {
    // Geometry: 45 degrees either side of the line of sight.
    CHECK(Degrees::from_extent_mm(200.0, 100.0).degrees() == Approx(90.0).epsilon(kRounding));
    CHECK(Degrees::from_arcmin(90.0) == Degrees::from_degrees(1.5));
    for (const double degrees : {0.0, 0.01, 2.0, 10.0, 120.0}) {
        const double extent_mm = Degrees::from_degrees(degrees).extent_mm(570.0);
        CHECK(Degrees::from_extent_mm(extent_mm, 570.0).degrees() == Approx(degrees).epsilon(kRounding));
    }
    const double nan = std::numeric_limits<double>::quiet_NaN();
    for (const double wrong : {0.0, -1.0, nan, std::numeric_limits<double>::infinity()}) {
        CHECK_THAT(input_error_text([&] { Degrees::from_extent_mm(10.0, wrong); }),
                   Catch::Contains("subtends no angle"));
        CHECK_THAT(input_error_text([&] { (void)Degrees::from_degrees(2.0).extent_mm(wrong); }),
                   Catch::Contains("has no extent on a flat screen"));
    }
    for (const double wrong : {-1.0, 180.0, nan}) {
        CHECK_THAT(input_error_text([&] { (void)Degrees::from_degrees(wrong).extent_mm(570.0); }),
                   Catch::Contains("has no extent on a flat screen"));
    }
}
