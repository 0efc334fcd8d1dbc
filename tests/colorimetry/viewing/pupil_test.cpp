#include "colorimetry/viewing/pupil.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "base/errors.h"

using namespace isoseam;

namespace {

constexpr double kFourDecimals = 0.5e-4;  // The reference figures are rounded to four decimals.

double area_of(double diameter_deg) {
    return disc_area_deg2(Degrees::from_degrees(diameter_deg));
}

double pupil_mm(double luminance_cd_m2, double area_deg2, double age, Eyes eyes) {
    return natural_pupil_mm({luminance_cd_m2, area_deg2}, Years::from_years(age), eyes);
}

}  // namespace

// The expected figures come from a separate computation of the formula of Watson & Yellott 2012.
TEST_CASE("the natural pupil to four decimals") {
    CHECK(pupil_mm(1.0, 900.0, 45.0, Eyes::two) == Approx(5.2401).margin(kFourDecimals));
    CHECK(pupil_mm(1.0, 900.0, 45.0, Eyes::one) == Approx(6.0770).margin(kFourDecimals));
    CHECK(pupil_mm(100.0, area_of(10.0), 30.0, Eyes::two) == Approx(4.5278).margin(kFourDecimals));
    CHECK(pupil_mm(10.0, area_of(10.0), 30.0, Eyes::two) == Approx(5.8226).margin(kFourDecimals));
    CHECK(pupil_mm(20.0, area_of(2.0), 32.0, Eyes::one) == Approx(7.2203).margin(kFourDecimals));
}

// Stanley & Davies 1995 is the formula at the reference age: 7.75 mm in the dark, 2 mm in endless light and
// half-way between where (F / 846)^0.41 is 2.
TEST_CASE("at the reference age the pupil goes from 7.75 mm in the dark to 2 mm") {
    constexpr double kRounding = 1e-9;
    CHECK(pupil_mm(0.0, 1.0, 28.58, Eyes::two) == Approx(7.75).margin(kRounding));
    const double half_way = 846.0 * std::pow(2.0, 1.0 / 0.41);
    CHECK(pupil_mm(half_way, 1.0, 28.58, Eyes::two) == Approx(4.875).margin(kRounding));
    CHECK(pupil_mm(half_way, 10.0, 28.58, Eyes::one) == Approx(4.875).margin(kRounding));
    CHECK(pupil_mm(1e15, 900.0, 28.58, Eyes::two) == Approx(2.0).margin(1e-4));
}

// The formula was made so that old pupils are smaller in the dark and differ little in bright light.
TEST_CASE("an old pupil is smaller, most of all in the dark") {
    const double dim = pupil_mm(0.01, 100.0, 20.0, Eyes::two) - pupil_mm(0.01, 100.0, 80.0, Eyes::two);
    const double bright = pupil_mm(4000.0, 100.0, 20.0, Eyes::two) - pupil_mm(4000.0, 100.0, 80.0, Eyes::two);
    CHECK(dim > 2.0);
    CHECK(bright > 0.0);
    CHECK(bright < 0.5);
}

TEST_CASE("an age that the formula was not stated for is refused with the way out") {
    CHECK_NOTHROW(pupil_mm(1.0, 1.0, 20.0, Eyes::one));
    CHECK_NOTHROW(pupil_mm(1.0, 1.0, 83.0, Eyes::one));
    for (const double age : {19.9, 83.1, std::nan("")}) {
        try {
            pupil_mm(1.0, 1.0, age, Eyes::one);
            FAIL("no fault");
        } catch (const InputError& error) {
            CHECK(error.faults().front().key == "age");
            CHECK_THAT(error.what(),
                       Catch::Contains("20 to 83 years") && Catch::Contains("measure the pupil"));
        }
    }
    CHECK_THROWS_AS(pupil_mm(-1.0, 1.0, 30.0, Eyes::one), std::logic_error);
    CHECK_THROWS_AS(pupil_mm(1.0, 0.0, 30.0, Eyes::one), std::logic_error);
    CHECK_THROWS_AS(pupil_mm(std::nan(""), 1.0, 30.0, Eyes::one), std::logic_error);
}
