#include "colorimetry/colour_space.h"

#include <Eigen/LU>
#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <random>

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

TEST_CASE("there and back again") {
    std::mt19937 random(3);
    std::uniform_real_distribution<double> uniform(0.01, 2.0);
    std::uniform_real_distribution<double> contrast(-1.0, 1.0);
    for (int trial = 0; trial < 200; ++trial) {
        const Eigen::Vector3d values{uniform(random), uniform(random), uniform(random)};
        const Xyz xyz = Xyz::from_vector(values);
        CHECK(largest_relative(xyz_from_xyy(xyy_from_xyz(xyz)).vector(), values) <= kRounding);
        const Lms lms = Lms::from_vector(values);
        const MacLeodBoynton coordinates = macleod_boynton_from_lms(lms, observer());
        CHECK(coordinates.l + coordinates.m() == Approx(1.0).epsilon(kRounding));
        CHECK(coordinates.luminance_cd_m2 == Approx(luminance_cd_m2(lms, observer())).epsilon(kRounding));
        CHECK(largest_relative(lms_from_macleod_boynton(coordinates, observer()).vector(), values) <=
              kRounding);
        const ConeContrast wanted{contrast(random), contrast(random), contrast(random)};
        const Lms target = lms_from_cone_contrast(wanted, lms);
        CHECK((cone_contrast(target, lms).vector() - wanted.vector()).cwiseAbs().maxCoeff() <= kRounding);
    }
    CHECK(lms_from_cone_contrast({.l = 0.05, .m = 0.0, .s = -1.0}, {2.0, 3.0, 4.0}).vector() ==
          Eigen::Vector3d(2.1, 3.0, 0.0));
}

TEST_CASE("what has no coordinates is refused") {
    const auto contains = [](const char* words) { return Catch::Contains(words); };
    for (const Xyz& xyz : {Xyz{0, 0, 0}, Xyz{1, -1, 1}, Xyz{1, kNan, 1}, Xyz{-5, 1, 1}}) {
        CHECK_THAT(input_error_text([&] { xyy_from_xyz(xyz); }), contains("black has no chromaticity"));
    }
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
