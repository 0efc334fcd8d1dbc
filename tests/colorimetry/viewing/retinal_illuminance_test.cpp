#include "colorimetry/viewing/retinal_illuminance.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "colorimetry/colour_space.h"
#include "colorimetry/illuminant.h"
#include "support/published_table.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

constexpr double kRounding = 1e-12;

Spectrum at_luminance(const Spectrum& light, double luminance) {
    return light.scaled(luminance / luminance_cd_m2(light));
}

}  // namespace

// The pupils and the trolands come from a separate computation of the formula of Watson & Yellott 2012.
TEST_CASE("photopic trolands to the digits of reference figures") {
    const auto photopic = [](double luminance, double pupil_mm) {
        return retinal_illuminance(at_luminance(Spectrum::equal_energy(), luminance), pupil_mm).photopic;
    };
    CHECK(photopic(100.0, 4.5278) == Approx(1610.0).margin(0.5));
    CHECK(photopic(10.0, 5.8226) == Approx(266.3).margin(0.05));
    CHECK(photopic(20.0, 7.2203) == Approx(818.9).margin(0.05));
}

// Scotopic trolands by the second copy of both tables, summed at 1 nm. Daylight has more of them than
// photopic ones, and illuminant A has about 1.4 times (common practice: S/P 2.47 and 1.41).
TEST_CASE("scotopic trolands follow V' and 1700 lm/W") {
    const auto second_copy = [](const Spectrum& light) {
        double scotopic = 0.0;
        for (const auto& row : published_table("cie1951_scotopic.csv"))
            scotopic += 1700.0 * row[1] * light.at_nm(row[0]);
        return scotopic;
    };
    const auto ratio = [](const Spectrum& light) {
        const Trolands seen = retinal_illuminance(light, 3.0);
        return seen.scotopic / seen.photopic;
    };
    for (const Illuminant illuminant : {Illuminant::a, Illuminant::d65}) {
        const Spectrum light = at_luminance(spectrum_of(illuminant), 50.0);
        const double area_mm2 = pupil_area_mm2(3.0);
        // The ends of the trapezoid count half, at 380 and 780 nm, where V' is below 0.001.
        CHECK(retinal_illuminance(light, 3.0).scotopic ==
              Approx(area_mm2 * second_copy(light)).epsilon(1e-5));
    }
    CHECK(ratio(spectrum_of(Illuminant::a)) == Approx(1.41).margin(0.01));
    CHECK(ratio(spectrum_of(Illuminant::d65)) == Approx(2.47).margin(0.01));
}

TEST_CASE("twice the pupil is four times the light, and a pupil without a size is refused") {
    const Spectrum light = Spectrum::equal_energy();
    CHECK(retinal_illuminance(light, 6.0).photopic ==
          Approx(4.0 * retinal_illuminance(light, 3.0).photopic).epsilon(kRounding));
    CHECK(retinal_illuminance(Spectrum(), 3.0).scotopic == 0.0);
    for (const double pupil_mm : {0.0, -1.0, std::nan("")})
        CHECK_THROWS_AS(retinal_illuminance(light, pupil_mm), std::logic_error);
}

TEST_CASE("the bleached share of the cones' pigment: half of it at 10^4.3 td") {
    CHECK(bleached_share(std::pow(10.0, 4.3)) == Approx(0.5).epsilon(kRounding));
    CHECK(bleached_share(0.0) == 0.0);
    CHECK(bleached_share(9.0 * kHalfBleachTd) == Approx(0.9).epsilon(kRounding));
    CHECK_THROWS_AS(bleached_share(-1.0), std::logic_error);
    CHECK_THROWS_AS(bleached_share(std::nan("")), std::logic_error);
}
