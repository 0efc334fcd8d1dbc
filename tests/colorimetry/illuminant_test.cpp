#include "colorimetry/illuminant.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "colorimetry/colour_space.h"
#include "support/error_text.h"
#include "support/published_table.h"

using namespace isoseam;
using isoseam::test::input_error_text;

namespace {

constexpr Illuminant kAll[] = {Illuminant::a,   Illuminant::d50, Illuminant::d55,
                               Illuminant::d65, Illuminant::d75, Illuminant::e};

}  // namespace

TEST_CASE("the illuminants have the CIE's chromaticities (from memory) for both standard observers") {
    // CIE 015:2018, 5 decimals. Some of the CIE's figures are sums at 1 nm, others at 5 nm; the two differ by
    // up to 2.6e-5.
    constexpr double kStepOfTheSum = 3e-5;
    struct Published {
        Illuminant illuminant;
        double x_1931, y_1931, x_1964, y_1964;
    };
    for (const Published& published : {Published{Illuminant::a, 0.44758, 0.40745, 0.45117, 0.40594},
                                       Published{Illuminant::d50, 0.34567, 0.35851, 0.34773, 0.35952},
                                       Published{Illuminant::d55, 0.33243, 0.34744, 0.33412, 0.34877},
                                       Published{Illuminant::d65, 0.31272, 0.32903, 0.31382, 0.33100},
                                       Published{Illuminant::d75, 0.29903, 0.31488, 0.29968, 0.31740}}) {
        const Spectrum spectrum = spectrum_of(published.illuminant);
        const auto cie1931 = xyy_from_xyz(tristimulus(spectrum)).chromaticity;
        const auto cie1964 = xyy_from_xyz(tristimulus<ColourMatching::cie1964_10deg>(spectrum)).chromaticity;
        INFO(name_of(published.illuminant)
             << " misses by " << cie1931.x - published.x_1931 << ", " << cie1931.y - published.y_1931 << "; "
             << cie1964.x - published.x_1964 << ", " << cie1964.y - published.y_1964);
        CHECK(std::abs(cie1931.x - published.x_1931) <= kStepOfTheSum);
        CHECK(std::abs(cie1931.y - published.y_1931) <= kStepOfTheSum);
        CHECK(std::abs(cie1964.x - published.x_1964) <= kStepOfTheSum);
        CHECK(std::abs(cie1964.y - published.y_1964) <= kStepOfTheSum);
    }
}

TEST_CASE("equal energy is x = y = 1/3 as nearly as the functions' sums are equal") {
    const Spectrum e = spectrum_of(Illuminant::e);
    constexpr double kSums = 7e-5;  // CIE 1931: 106.892 against a mean of 106.872
    for (const Eigen::Vector3d& xyz :
         {tristimulus(e).vector(), tristimulus<ColourMatching::cie1964_10deg>(e).vector(),
          tristimulus<ColourMatching::cie2015_2deg>(e).vector(),
          tristimulus<ColourMatching::cie2015_10deg>(e).vector()}) {
        CHECK((xyz / xyz.sum() - Eigen::Vector3d::Constant(1.0 / 3.0)).cwiseAbs().maxCoeff() <= kSums);
    }
}

TEST_CASE("D65 and A have the CIE's values (from memory), and straight lines between those of daylight") {
    const Spectrum d65 = spectrum_of(Illuminant::d65);
    for (const auto& row : test::published_table("cie_d65.csv")) {
        INFO(row[0] << " nm");
        CHECK(std::abs(100.0 * d65.at_nm(row[0]) - row[1]) <= 6e-4);
    }
    // ISO/CIE 11664-2, from memory: 445 nm, between two rows of the components.
    CHECK(100.0 * d65.at_nm(445.0) == Approx(110.936).epsilon(1e-5));
    const Spectrum a = spectrum_of(Illuminant::a);
    for (const auto& [nm, value] :
         {std::pair{300.0, 0.930483}, {380.0, 9.79510}, {560.0, 100.0}, {780.0, 241.675}, {830.0, 261.602}}) {
        CHECK(100.0 * a.at_nm(nm) == Approx(value).epsilon(3e-6));
    }
    // The same as a blackbody whose temperature stands on today's scale.
    const Spectrum blackbody = Spectrum::blackbody(2848.0 * 1.4388 / 1.4350);
    for (int nm = 300; nm <= 830; ++nm) {
        CHECK(a.at_nm(nm) == Approx(blackbody.at_nm(nm)).epsilon(1e-12));
    }
}

TEST_CASE("every illuminant is 1 at 560 nm, known from 300 to 830 nm, and found by its name") {
    for (const Illuminant illuminant : kAll) {
        const Spectrum spectrum = spectrum_of(illuminant);
        CHECK(spectrum.at_nm(560.0) == Approx(1.0).epsilon(1e-15));
        CHECK(spectrum.first_nm() == 300.0);
        CHECK(spectrum.last_nm() == 830.0);
        CHECK(illuminant_named(name_of(illuminant)) == illuminant);
    }
    for (const char* word : {"", "d65", "D6", "D650", "C", "e"}) {
        CHECK_FALSE(illuminant_named(word).has_value());
    }
}

TEST_CASE("daylight of any temperature is nearly the named one, and has nearly the formula's chromaticity") {
    // The named ones have rounded multipliers (0.0005 of at most 46 in 100).
    constexpr double kRoundedMultipliers = 3e-4;
    for (const auto& [kelvin, illuminant] : {std::pair{5000.0, Illuminant::d50},
                                             {5500.0, Illuminant::d55},
                                             {6500.0, Illuminant::d65},
                                             {7500.0, Illuminant::d75}}) {
        const Spectrum exact = daylight_spectrum(kelvin * 1.4388 / 1.4380);
        const Spectrum rounded = spectrum_of(illuminant);
        for (int nm = 300; nm <= 830; nm += 10) {
            CHECK(std::abs(exact.at_nm(nm) - rounded.at_nm(nm)) <= kRoundedMultipliers);
        }
    }
    // S0 with any share of S1 and S2 stays within this of the line that the formula draws.
    constexpr double kThreeComponents = 2e-4;
    double before_x = 1.0;
    for (double kelvin = 4000.0; kelvin <= 25000.0; kelvin += 250.0) {
        const Chromaticity found = xyy_from_xyz(tristimulus(daylight_spectrum(kelvin))).chromaticity;
        const Chromaticity formula = daylight_chromaticity(kelvin);
        INFO(kelvin << " K: " << found.x - formula.x << ", " << found.y - formula.y);
        CHECK(std::abs(found.x - formula.x) <= kThreeComponents);
        CHECK(std::abs(found.y - formula.y) <= kThreeComponents);
        CHECK(found.x < before_x);
        before_x = found.x;
    }
}

TEST_CASE("daylight outside the range of CIE 015 is refused") {
    for (const double kelvin : {3999.9, 25000.1, 0.0, -6500.0, std::numeric_limits<double>::infinity(),
                                std::numeric_limits<double>::quiet_NaN()}) {
        CHECK_THAT(input_error_text([&] { daylight_spectrum(kelvin); }),
                   Catch::StartsWith("daylight of ") &&
                       Catch::EndsWith("give 4000 to 25000 K (the range of CIE 015)"));
    }
    CHECK_NOTHROW(daylight_spectrum(4000.0));
    CHECK_NOTHROW(daylight_spectrum(25000.0));
}
