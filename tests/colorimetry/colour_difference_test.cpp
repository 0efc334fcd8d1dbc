#include "colorimetry/colour_difference.h"

#include <lcms2.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <random>

#include "support/error_text.h"
#include "support/published_table.h"

using namespace isoseam;
using isoseam::test::input_error_text;

namespace {

const double kNan = std::numeric_limits<double>::quiet_NaN();
const double kInfinity = std::numeric_limits<double>::infinity();

Lab lab(double l, double a, double b) {
    return {.l_star = l, .a_star = a, .b_star = b};
}

cmsCIELab cms(const Lab& colour) {
    return {colour.l_star, colour.a_star, colour.b_star};
}

class Colours {
  public:
    explicit Colours(unsigned seed, double extent = 128.0) : random_(seed), axis_(-extent, extent) {}
    Lab next() { return lab(lightness_(random_), axis_(random_), axis_(random_)); }
    Lab near_to(const Lab& colour) {
        return lab(colour.l_star + step_(random_), colour.a_star + step_(random_),
                   colour.b_star + step_(random_));
    }

  private:
    std::mt19937 random_;
    std::uniform_real_distribution<double> lightness_{0.0, 100.0};
    std::uniform_real_distribution<double> axis_;
    std::uniform_real_distribution<double> step_{-3.0, 3.0};
};

}  // namespace

TEST_CASE("CIEDE2000 of the 34 pairs of Sharma, Wu & Dalal 2005 (found in a general library's test data)") {
    constexpr double kFourDecimals = 0.5001e-4;
    const auto pairs = test::published_table("ciede2000_pairs.csv");
    REQUIRE(pairs.size() == 34);
    for (const auto& pair : pairs) {
        const Lab first = lab(pair[1], pair[2], pair[3]);
        const Lab second = lab(pair[4], pair[5], pair[6]);
        const double miss = delta_e_2000(first, second) - pair[7];
        INFO("pair " << pair[0] << ", missed by " << miss);
        CHECK(std::abs(miss) <= kFourDecimals);
        CHECK(delta_e_2000(second, first) == Approx(delta_e_2000(first, second)).epsilon(1e-13));
    }
}

TEST_CASE("Little CMS finds the same CIEDE2000 and CIE 1976 differences") {
    // Both sides compute in doubles; what cancels in the hues leaves a few digits less.
    constexpr double kDoubles = 1e-10;
    Colours colours(2000);
    for (int trial = 0; trial < 2000; ++trial) {
        const Lab first = colours.next();
        const Lab second = trial % 2 == 0 ? colours.next() : colours.near_to(first);
        const cmsCIELab cms_first = cms(first);
        const cmsCIELab cms_second = cms(second);
        const double expected = cmsCIE2000DeltaE(&cms_first, &cms_second, 1.0, 1.0, 1.0);
        INFO(first.vector().transpose() << " and " << second.vector().transpose());
        CHECK(std::abs(delta_e_2000(first, second) - expected) <= kDoubles * (1.0 + expected));
        const double with_factors = cmsCIE2000DeltaE(&cms_first, &cms_second, 2.0, 1.5, 0.5);
        CHECK(std::abs(delta_e_2000(first, second, {.k_l = 2.0, .k_c = 1.5, .k_h = 0.5}) - with_factors) <=
              kDoubles * (1.0 + with_factors));
        const double distance = cmsDeltaE(&cms_first, &cms_second);
        CHECK(std::abs(delta_e_ab(first, second) - distance) <= kDoubles * (1.0 + distance));
    }
}

TEST_CASE("a colour difference is 0 for equal colours, the same both ways, and never negative") {
    Colours colours(76, 1e4);
    for (int trial = 0; trial < 500; ++trial) {
        const Lab first = colours.next();
        const Lab second = colours.near_to(first);
        CHECK(delta_e_2000(first, first) == 0.0);
        CHECK(delta_e_ab(first, first) == 0.0);
        CHECK(delta_e_2000(first, second) > 0.0);
        CHECK(delta_e_2000(first, second) == Approx(delta_e_2000(second, first)).epsilon(1e-12));
        CHECK(delta_e_ab(first, second) == delta_e_ab(second, first));
    }
    CHECK(delta_e_ab(lab(50, 0, 0), lab(53, 4, 12)) == 13.0);
    // Neutral colours have no hue: only lightness counts, and around 50 a step of L* counts whole.
    CHECK(delta_e_2000(lab(49, 0, 0), lab(51, 0, 0)) == 2.0);
    CHECK(delta_e_2000(lab(49, 0, 0), lab(51, 0, 0), {.k_l = 2.0}) == 1.0);
}

TEST_CASE("of exactly opposite hues, the mean of the two angles counts whatever the chroma") {
    // Pairs 10 and 14 of the publication in other sizes; the other mean would be 0.04 to 0.06 away.
    for (const double size : {0.1, 1.0, 3.7}) {
        const Lab first = lab(50, 2.49 * size, -0.001 * size);
        const Lab opposite = lab(50, -2.49 * size, 0.001 * size);
        const Lab before = lab(50, -2.49 * size, 0.0009 * size);
        const double expected = delta_e_2000(first, before);
        CHECK(std::abs(delta_e_2000(first, opposite) - expected) <= 1e-3 * size);
        CHECK(delta_e_2000(first, opposite) == Approx(delta_e_2000(opposite, first)).epsilon(1e-13));
    }
}

TEST_CASE("what has no colour difference is refused") {
    for (const double wrong : {kNan, kInfinity, -kInfinity}) {
        for (const Lab& colour : {lab(wrong, 0, 0), lab(50, wrong, 0), lab(50, 0, wrong)}) {
            for (const auto& text : {input_error_text([&] { delta_e_2000(colour, lab(50, 1, 1)); }),
                                     input_error_text([&] { delta_e_2000(lab(50, 1, 1), colour); }),
                                     input_error_text([&] { delta_e_ab(colour, lab(50, 1, 1)); }),
                                     input_error_text([&] { delta_e_ab(lab(50, 1, 1), colour); })}) {
                CHECK_THAT(text,
                           Catch::StartsWith("L*, a*, b* of ") && Catch::EndsWith("give finite numbers"));
            }
        }
        CHECK_THAT(input_error_text([&] { delta_e_2000(lab(50, 1, 1), lab(50, 2, 2), {.k_h = wrong}); }),
                   Catch::Contains("give three finite factors greater than 0"));
    }
    CHECK(input_error_text([] { delta_e_2000(lab(50, 1, 1), lab(50, 2, 2), {.k_l = 0.0}); }) ==
          "factors k_L 0, k_C 1, k_H 1; give three finite factors greater than 0 (1 for the reference "
          "conditions)");
    CHECK(input_error_text([] { delta_e_ab(lab(-1.7e308, 0, 0), lab(1.7e308, 0, 0)); }) ==
          "a colour difference beyond the range of numbers; give L*, a*, b* below 1e100");
    CHECK_NOTHROW(delta_e_2000(lab(1e99, -1e99, 1e99), lab(-1e99, 1e99, 1e99)));
    CHECK_THAT(input_error_text([] { delta_e_2000(lab(1e308, -1e308, 1e308), lab(-1e308, 1e308, 1e308)); }),
               Catch::Contains("beyond the range of numbers"));
}
