#include "colorimetry/colour_space.h"

#include <Eigen/LU>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>
#include <random>

#include "colorimetry/cie_tables.h"
#include "colorimetry/cielab.h"
#include "support/error_text.h"
#include "support/published_table.h"

using namespace isoseam;
using isoseam::test::input_error_text;

namespace {

constexpr double kRounding = 1e-12;
const double kNan = std::numeric_limits<double>::quiet_NaN();

const Observer& observer() {
    static const Observer result = Observer::cie170(Degrees::from_degrees(2), Years::from_years(32));
    return result;
}

double largest_relative(const Eigen::Vector3d& a, const Eigen::Vector3d& b) {
    return (a - b).cwiseAbs().maxCoeff() / b.cwiseAbs().maxCoeff();
}

}  // namespace

TEST_CASE("sRGB's primaries and white give the published luminance row") {
    // IEC 61966-2-1 with the primaries of ITU-R BT.709 and the white D65 (x 0.3127, y 0.3290).
    const auto unit = [](double x, double y) { return xyz_from_xyy({{x, y}, 1.0}).vector(); };
    Eigen::Matrix3d xyz_from_shares;
    xyz_from_shares << unit(0.64, 0.33), unit(0.30, 0.60), unit(0.15, 0.06);
    const Eigen::Vector3d shares = xyz_from_shares.partialPivLu().solve(unit(0.3127, 0.3290));
    const Eigen::Matrix3d xyz_from_linear = xyz_from_shares * shares.asDiagonal();
    // Published to 4 decimals: 0.4124 0.3576 0.1805 / 0.2126 0.7152 0.0722 / 0.0193 0.1192 0.9505.
    Eigen::Matrix3d published;
    published << 0.4124, 0.3576, 0.1805, 0.2126, 0.7152, 0.0722, 0.0193, 0.1192, 0.9505;
    constexpr double kFourDecimals = 0.6e-4;
    CHECK((xyz_from_linear - published).cwiseAbs().maxCoeff() <= kFourDecimals);
    const XyY white = xyy_from_xyz(Xyz::from_vector(xyz_from_linear * Eigen::Vector3d::Ones()));
    CHECK(white.chromaticity.x == Approx(0.3127).epsilon(kRounding));
    CHECK(white.chromaticity.y == Approx(0.3290).epsilon(kRounding));
}

TEST_CASE("tristimulus values of known lights") {
    // O1: an independent program's sums over the measured LCD primaries, CIE 1931 without 683 lm/W.
    const auto oracle = test::published_json("O1_lcd_cone_excitations.json");
    const auto rows = test::published_table("lcd_primaries_5nm.csv");
    for (std::size_t primary = 0; primary < 3; ++primary) {
        std::vector<double> nm;
        std::vector<double> values;
        for (const auto& row : rows) {
            nm.push_back(row[0]);
            values.push_back(row[primary + 1]);
        }
        const Xyz xyz = tristimulus(Spectrum::from_radiance_w_sr_m2_nm(nm, values));
        const auto& sums = oracle["CIE1931_XYZ_rows_are_primary_1_2_3 (360..830 nm, no 683)"][primary];
        for (int i = 0; i < 3; ++i) {
            CHECK(xyz.vector()[i] ==
                  Approx(683.0 * sums[static_cast<std::size_t>(i)].get<double>()).epsilon(1e-9));
        }
    }
    // CIE 015: illuminant A, 2848 K with the older c2 of 1.4350e-2 m K, has x 0.44758, y 0.40745 (from
    // memory); 5 decimals.
    const Chromaticity a =
        xyy_from_xyz(tristimulus(Spectrum::blackbody(2848 * 1.4388 / 1.4350))).chromaticity;
    CHECK(std::abs(a.x - 0.44758) <= 2e-5);
    CHECK(std::abs(a.y - 0.40745) <= 2e-5);
    // Equal energy: x = y = 1/3 by the construction of the functions; 683 lm/W near 555 nm by the candela's
    // definition.
    const Chromaticity e = xyy_from_xyz(tristimulus(Spectrum::equal_energy())).chromaticity;
    CHECK(std::abs(e.x - 1.0 / 3.0) <= 5e-5);
    CHECK(std::abs(e.y - 1.0 / 3.0) <= 5e-5);
    CHECK(luminance_cd_m2(Spectrum::from_line(555, 1.0)) == Approx(683.0).epsilon(1e-6));
    CHECK(luminance_cd_m2(Lms{1, 1, 0}, observer()) ==
          Approx(683.0 * (0.68990272 + 0.34832189)).epsilon(kRounding));
}

TEST_CASE("u'v' of known lights") {
    // CIE 015:2018: equal energy has u' = 4/19 = 0.2105, v' = 9/19 = 0.4737; D65 0.1978, 0.4683 (from
    // memory).
    const UniformChromaticity e = uniform_chromaticity_from_xyz(Xyz{1, 1, 1});
    CHECK(e.u_prime == Approx(4.0 / 19.0).epsilon(kRounding));
    CHECK(e.v_prime == Approx(9.0 / 19.0).epsilon(kRounding));
    const UniformChromaticity d65 = uniform_chromaticity_from_xyz(xyz_from_xyy({{0.31272, 0.32903}, 100.0}));
    CHECK(std::abs(d65.u_prime - 0.1978) <= 5e-5);
    CHECK(std::abs(d65.v_prime - 0.4683) <= 5e-5);
    CHECK(d65.luminance_cd_m2 == 100.0);
}

TEST_CASE("the values of a spectral line are the functions' of each observer") {
    using enum ColourMatching;
    const auto check = [](const Eigen::Vector3d& found, ColourMatching observer) {
        const ColourMatchingTable table = colour_matching_table(observer);
        const Eigen::Vector3d row = table.functions.row(470 - table.first_nm);
        CHECK((found - kLumensPerWatt * row).cwiseAbs().maxCoeff() <= 1e-10);
    };
    const Spectrum line = Spectrum::from_line(470.0, 1.0);
    check(tristimulus(line).vector(), cie1931_2deg);
    check(tristimulus<cie1964_10deg>(line).vector(), cie1964_10deg);
    check(tristimulus<cie2015_2deg>(line).vector(), cie2015_2deg);
    check(tristimulus<cie2015_10deg>(line).vector(), cie2015_10deg);
}

TEST_CASE("there and back again, negative and extreme values too") {
    std::mt19937 random(3);
    std::uniform_real_distribution<double> exponent(-30.0, 30.0);
    std::uniform_real_distribution<double> sign(-1.0, 1.0);
    const auto positive = [&] { return std::pow(10.0, exponent(random)); };
    const auto any = [&] { return std::copysign(positive(), sign(random)); };
    const Xyz white{95.047, 100.0, 108.883};
    int with_lab = 0;
    int with_chromaticity = 0;
    int with_luminance = 0;
    for (int trial = 0; trial < 5000; ++trial) {
        const Eigen::Vector3d values{any(), any(), any()};
        const Xyz xyz = Xyz::from_vector(values);
        if (values.minCoeff() >= -1000.0 * white.x) {
            CHECK(largest_relative(xyz_from_lab(lab_from_xyz(xyz, white), white).vector(), values) <=
                  kRounding);
            ++with_lab;
        }
        if (xyz.y > 0.0 && values.sum() > 0.0) {
            CHECK(largest_relative(xyz_from_xyy(xyy_from_xyz(xyz)).vector(), values) <= kRounding);
            ++with_chromaticity;
        }
        if (xyz.y > 0.0 && values.dot(Eigen::Vector3d(1, 15, 3)) > 0.0) {
            CHECK(largest_relative(xyz_from_uniform_chromaticity(uniform_chromaticity_from_xyz(xyz)).vector(),
                                   values) <= kRounding);
        }
        const Lms lms = Lms::from_vector(values);
        if (luminance_cd_m2(lms, observer()) > 0.0) {
            const MacLeodBoynton coordinates = macleod_boynton_from_lms(lms, observer());
            CHECK(coordinates.luminance_cd_m2 == Approx(luminance_cd_m2(lms, observer())).epsilon(kRounding));
            CHECK(largest_relative(lms_from_macleod_boynton(coordinates, observer()).vector(), values) <=
                  kRounding);
            ++with_luminance;
        }
        const Lms background{positive(), positive(), positive()};
        const Lms again = lms_from_cone_contrast(cone_contrast(lms, background), background);
        CHECK((again.vector() - values)
                  .cwiseQuotient(values.cwiseAbs().cwiseMax(background.vector()))
                  .cwiseAbs()
                  .maxCoeff() <= kRounding);
    }
    CHECK(with_lab > 1000);
    CHECK(with_chromaticity > 1000);
    CHECK(with_luminance > 1000);
    CHECK(lms_from_cone_contrast({.l = 0.05, .m = 0.0, .s = -1.0}, {2.0, 3.0, 4.0}).vector() ==
          Eigen::Vector3d(2.1, 3.0, 0.0));
}

TEST_CASE("coordinates to lights and back") {
    std::mt19937 random(4);
    const auto uniform = [&](double from, double to) {
        return std::uniform_real_distribution<double>(from, to)(random);
    };
    for (int trial = 0; trial < 1000; ++trial) {
        const double y = std::pow(10.0, uniform(-9.0, 0.5));
        const double luminance = std::pow(10.0, uniform(-30.0, 30.0));
        const XyY xyy = xyy_from_xyz(xyz_from_xyy({{uniform(-3.0, 3.0), y}, luminance}));
        const XyY xyy_again = xyy_from_xyz(xyz_from_xyy(xyy));
        CHECK(std::abs(xyy_again.chromaticity.x - xyy.chromaticity.x) <= 3.0 * kRounding);
        CHECK(xyy_again.chromaticity.y == Approx(y).epsilon(kRounding));
        CHECK(xyy_again.luminance_cd_m2 == luminance);
        const UniformChromaticity uvy{uniform(-3.0, 3.0), y, luminance};
        const UniformChromaticity uvy_again =
            uniform_chromaticity_from_xyz(xyz_from_uniform_chromaticity(uvy));
        CHECK(std::abs(uvy_again.u_prime - uvy.u_prime) <= 3.0 * kRounding);
        CHECK(uvy_again.v_prime == Approx(y).epsilon(kRounding));
        CHECK(uvy_again.luminance_cd_m2 == luminance);
        const Lab lab{uniform(-200.0, 200.0), uniform(-300.0, 300.0), uniform(-300.0, 300.0)};
        const Xyz white{uniform(0.1, 1e3), uniform(0.1, 1e3), uniform(0.1, 1e3)};
        CHECK(largest_relative(lab_from_xyz(xyz_from_lab(lab, white), white).vector(), lab.vector()) <=
              kRounding);
        const MacLeodBoynton mb{uniform(-1.0, 2.0), uniform(-1.0, 2.0), luminance};
        const MacLeodBoynton mb_again =
            macleod_boynton_from_lms(lms_from_macleod_boynton(mb, observer()), observer());
        CHECK(std::abs(mb_again.l - mb.l) <= 2.0 * kRounding);
        CHECK(std::abs(mb_again.s - mb.s) <= 2.0 * kRounding);
        CHECK(mb_again.luminance_cd_m2 == Approx(luminance).epsilon(kRounding));
        const Lms background{uniform(0.01, 2.0), uniform(0.01, 2.0), uniform(0.01, 2.0)};
        const ConeContrast contrast{uniform(-3.0, 3.0), uniform(-3.0, 3.0), uniform(-3.0, 3.0)};
        CHECK((cone_contrast(lms_from_cone_contrast(contrast, background), background).vector() -
               contrast.vector())
                  .cwiseAbs()
                  .maxCoeff() <= kRounding);
    }
}

TEST_CASE("what has no coordinates is refused") {
    const auto contains = [](const char* words) { return Catch::Contains(words); };
    for (const Xyz& xyz : {Xyz{0, 0, 0}, Xyz{1, -1, 1}, Xyz{1, kNan, 1}, Xyz{-5, 1, 1}}) {
        CHECK_THAT(input_error_text([&] { xyy_from_xyz(xyz); }), contains("black has no chromaticity"));
    }
    for (const Xyz& xyz : {Xyz{0, 0, 0}, Xyz{1, -1, 1}, Xyz{1, kNan, 1}, Xyz{-16, 1, 0}}) {
        CHECK_THAT(input_error_text([&] { uniform_chromaticity_from_xyz(xyz); }),
                   contains("black has no chromaticity"));
    }
    for (const UniformChromaticity& uvy :
         {UniformChromaticity{0.2, 0.0, 1}, UniformChromaticity{0.2, -0.1, 1},
          UniformChromaticity{kNan, 0.3, 1}, UniformChromaticity{0.2, kNan, 1}}) {
        CHECK_THAT(input_error_text([&] { xyz_from_uniform_chromaticity(uvy); }),
                   contains("give finite coordinates, v' greater than 0"));
    }
    for (const double luminance : {-1.0, kNan}) {
        CHECK_THAT(input_error_text([&] {
                       xyz_from_uniform_chromaticity(UniformChromaticity{0.2, 0.5, luminance});
                   }),
                   contains("give 0 cd/m2 or more"));
    }
    CHECK_THAT(input_error_text([] {
                   xyz_from_xyy({{0.3, 1e-300}, 1e300});
               }),
               contains("give finite numbers"));
    for (const XyY& xyy :
         {XyY{{0.3, 0.0}, 1}, XyY{{0.3, -0.1}, 1}, XyY{{kNan, 0.3}, 1}, XyY{{0.3, kNan}, 1}}) {
        CHECK_THAT(input_error_text([&] { xyz_from_xyy(xyy); }),
                   contains("give finite coordinates, y greater than 0"));
    }
    for (const double luminance : {-1.0, kNan, std::numeric_limits<double>::infinity()}) {
        CHECK_THAT(input_error_text([&] {
                       xyz_from_xyy({{0.3, 0.3}, luminance});
                   }),
                   contains("give 0 cd/m2 or more"));
    }
    CHECK(xyz_from_xyy({{0.3, 0.3}, 0.0}).vector() == Eigen::Vector3d::Zero());
    CHECK_THAT(input_error_text([] {
                   macleod_boynton_from_lms({0, 0, 1}, observer());
               }),
               contains("black has no chromaticity"));
    CHECK_THAT(input_error_text([] {
                   macleod_boynton_from_lms({1, 1, kNan}, observer());
               }),
               contains("give finite numbers"));
    CHECK_THAT(input_error_text([] {
                   lms_from_macleod_boynton({0.7, 0.02, -1}, observer());
               }),
               contains("a luminance of -1 cd/m2"));
    CHECK_THAT(input_error_text([] {
                   lms_from_macleod_boynton({kNan, 0.02, 1}, observer());
               }),
               contains("give finite numbers"));
    for (const Lms& background : {Lms{0, 1, 1}, Lms{1, -1, 1}, Lms{1, 1, kNan}}) {
        CHECK_THAT(input_error_text([&] {
                       cone_contrast({1, 1, 1}, background);
                   }),
                   contains("choose a background that excites each of the three cones"));
        CHECK_THAT(input_error_text([&] {
                       lms_from_cone_contrast({0, 0, 0}, background);
                   }),
                   contains("choose a background that excites each of the three cones"));
    }
    CHECK_THAT(input_error_text([] {
                   cone_contrast({1, kNan, 1}, {1, 1, 1});
               }),
               contains("give finite numbers"));
    CHECK_THAT(input_error_text([] {
                   nearest_spectrum(Spectrum::equal_energy(), Xyz{1, kNan, 1});
               }),
               contains("give finite numbers"));
}

TEST_CASE("the nearest spectrum has the wanted values, and is the nearest") {
    std::mt19937 random(5);
    std::uniform_real_distribution<double> uniform(0.5, 1.5);
    std::vector<double> odd_nm;
    std::vector<double> odd_values;
    for (double nm = 401.3; nm < 700.0; nm += 7.7) {
        odd_nm.push_back(nm);
        odd_values.push_back(uniform(random));
    }
    const Spectrum bases[] = {Spectrum::equal_energy(), Spectrum::blackbody(4000),
                              Spectrum::from_radiance_w_sr_m2_nm(odd_nm, odd_values),
                              Spectrum::from_line(589, 1.0), Spectrum()};
    for (const Spectrum& base : bases) {
        const Lms lms{uniform(random), uniform(random), uniform(random)};
        const Xyz xyz{uniform(random), uniform(random), uniform(random)};
        const Eigen::Vector3d lms_caught =
            observer().excitations(nearest_spectrum(base, lms, observer())).vector();
        const Eigen::Vector3d xyz_caught = tristimulus(nearest_spectrum(base, xyz)).vector();
        // Of the larger of what is wanted and what the base has.
        const double lms_scale = 1.0 + observer().excitations(base).vector().maxCoeff();
        const double xyz_scale = 1.0 + tristimulus(base).vector().maxCoeff();
        CHECK((lms_caught - lms.vector()).cwiseAbs().maxCoeff() <= 1e-9 * lms_scale);
        CHECK((xyz_caught - xyz.vector()).cwiseAbs().maxCoeff() <= 1e-9 * xyz_scale);
    }

    // Any other spectrum of the same excitations is farther from the base: the change is square to all that
    // no cone sees.
    const Spectrum base = Spectrum::equal_energy();
    const Lms target{90.0, 70.0, 60.0};
    const Spectrum nearest = nearest_spectrum(base, target, observer());
    const Spectrum invisible =
        nearest_spectrum(Spectrum::blackbody(5000), target, observer()) + nearest.scaled(-1.0);
    double product = 0.0;
    double change_squares = 0.0;
    double invisible_squares = 0.0;
    for (int nm = Observer::kFirstNm; nm <= Observer::kLastNm; ++nm) {
        const double weight = nm == Observer::kFirstNm || nm == Observer::kLastNm ? 0.5 : 1.0;
        const double change = nearest.at_nm(nm) - base.at_nm(nm);
        product += weight * change * invisible.at_nm(nm);
        change_squares += weight * change * change;
        invisible_squares += weight * invisible.at_nm(nm) * invisible.at_nm(nm);
    }
    REQUIRE(invisible_squares > 0.01 * change_squares);
    CHECK(std::abs(product) <= 1e-9 * std::sqrt(change_squares * invisible_squares));
}
