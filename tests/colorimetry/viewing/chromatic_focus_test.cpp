#include "colorimetry/viewing/chromatic_focus.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <stdexcept>

using namespace isoseam;

namespace {

constexpr double kRounding = 1e-12;

double refraction(double nm) {
    return chromatic_refraction_dioptres(nm);
}
double blur(double seen_nm, double focused_nm, double pupil_mm) {
    return chromatic_blur_arcmin(seen_nm, focused_nm, pupil_mm);
}

}  // namespace

// Published beside the formula (from memory): about 2 dioptres from 400 to 700 nm, and 0 at 589 nm.
TEST_CASE("the difference of focus over the spectrum is about two dioptres, and 0 near 590 nm") {
    CHECK(refraction(700.0) - refraction(400.0) == Approx(2.0).margin(0.15));
    CHECK(std::abs(refraction(589.0)) < 0.01);
    CHECK(refraction(450.0) < refraction(550.0));
}

// A separate computation gives 6.9 minutes of arc for 465 against 555 nm and a pupil of 3 mm.
TEST_CASE("the blur of one wavelength where another is sharp") {
    CHECK(blur(465.0, 555.0, 3.0) == Approx(6.9).margin(0.05));
    CHECK(blur(555.0, 465.0, 3.0) == Approx(blur(465.0, 555.0, 3.0)).epsilon(kRounding));
    CHECK(blur(465.0, 555.0, 6.0) == Approx(2.0 * blur(465.0, 555.0, 3.0)).epsilon(kRounding));
    CHECK(blur(555.0, 555.0, 3.0) == 0.0);
}

TEST_CASE("a wavelength that the formula does not reach and a pupil without a size are refused") {
    for (const double nm : {379.9, 780.1, 214.102, std::nan("")})
        CHECK_THROWS_AS(refraction(nm), std::logic_error);
    for (const double pupil_mm : {0.0, -3.0, std::nan("")})
        CHECK_THROWS_AS(blur(465.0, 555.0, pupil_mm), std::logic_error);
}
