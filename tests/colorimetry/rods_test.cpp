#include "colorimetry/rods.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "support/published_table.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {
constexpr double kRounding = 1e-12;
}

TEST_CASE("rods catch spectral lines by V' of the CIE 1951 observer, at each of its wavelengths") {
    for (const std::vector<double>& row : published_table("cie1951_scotopic.csv")) {
        CHECK(rod_excitation(Spectrum::from_line(row[0], 2.0)) == Approx(2.0 * row[1]).epsilon(kRounding));
    }
    CHECK(rod_excitation(Spectrum::from_line(379.0, 1.0)) == 0.0);
    CHECK(rod_excitation(Spectrum::from_line(781.0, 1.0)) == 0.0);
    CHECK(scotopic_luminance_cd_m2(Spectrum::from_line(507.0, 1.0)) == Approx(1700.0).epsilon(1e-3));
}

TEST_CASE("rods catch a continuous light by the trapezoid, and black not at all") {
    double sum = 0.0;
    double edges = 0.0;
    for (const std::vector<double>& row : published_table("cie1951_scotopic.csv")) {
        sum += row[1];
        edges += row[0] == 380.0 || row[0] == 780.0 ? row[1] / 2.0 : 0.0;
    }
    CHECK(rod_excitation(Spectrum::equal_energy()) == Approx(sum - edges).epsilon(kRounding));
    CHECK(rod_excitation(Spectrum()) == 0.0);
}

TEST_CASE("the rod contrast of two lights, and none from a light that rods do not see") {
    const Spectrum first = Spectrum::from_line(507.0, 1.0);
    CHECK(*rod_contrast(first.scaled(1.25), first) == Approx(0.25).epsilon(kRounding));
    CHECK(*rod_contrast(Spectrum(), first) == -1.0);
    CHECK(*rod_contrast(Spectrum(), Spectrum()) == 0.0);
    CHECK_FALSE(rod_contrast(first, Spectrum()));
    // Common practice, no source: a Rayleigh match is none for rods, since 545 nm excites them far more.
    CHECK(*rod_contrast(Spectrum::from_line(545.0, 1.0), Spectrum::from_line(589.0, 1.0)) > 5.0);
}

TEST_CASE("rods may matter beyond the fovea in dim light only") {
    CHECK(rods_may_matter(Degrees::from_degrees(10.0), 1.0));
    CHECK_FALSE(rods_may_matter(Degrees::from_degrees(2.0), 1.0));
    CHECK_FALSE(rods_may_matter(Degrees::from_degrees(10.0), 100.0));
}
