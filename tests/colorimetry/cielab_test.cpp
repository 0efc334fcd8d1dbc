#include "colorimetry/cielab.h"

#include <lcms2.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <random>
#include <type_traits>

#include "support/error_text.h"

using namespace isoseam;
using isoseam::test::input_error_text;

namespace {

constexpr double kRounding = 1e-12;
const double kNan = std::numeric_limits<double>::quiet_NaN();
const double kInfinity = std::numeric_limits<double>::infinity();
const Xyz kWhite{95.047, 100.0, 108.883};

}  // namespace

TEST_CASE("CIELAB of known colours") {
    CHECK(lab_from_xyz(kWhite, kWhite).vector().isApprox(Eigen::Vector3d(100, 0, 0), kRounding));
    CHECK(lab_from_xyz(Xyz{}, kWhite).vector() == Eigen::Vector3d::Zero());
    // CIE 015:2018: a grey of 18.4186 % has L* = 50; L* = 8 where line and cube root meet, at (24/116)^3.
    CHECK(lab_from_xyz(Xyz::from_vector(kWhite.vector() * std::pow(66.0 / 116.0, 3)), kWhite).l_star ==
          Approx(50.0).epsilon(kRounding));
    CHECK(std::pow(66.0 / 116.0, 3) == Approx(0.184187).epsilon(3e-6));
    CHECK(lab_from_xyz(Xyz{0, 100.0 * std::pow(24.0 / 116.0, 3), 0}, kWhite).l_star ==
          Approx(8.0).epsilon(kRounding));
    // On the line L* = (29/3)^3 Y/Yn = 903.3 Y/Yn, below 0 too.
    CHECK(lab_from_xyz(Xyz{0, -0.1, 0}, kWhite).l_star ==
          Approx(-0.1 * 24389.0 / 27.0 / 100.0).epsilon(kRounding));
}

TEST_CASE("Little CMS finds the same CIELAB colours, both ways") {
    constexpr double kDoubles = 1e-11;
    std::mt19937 random(31);
    std::uniform_real_distribution<double> uniform(0.0, 1.2);
    const cmsCIEXYZ cms_white{kWhite.x / 100.0, kWhite.y / 100.0, kWhite.z / 100.0};
    for (int trial = 0; trial < 1000; ++trial) {
        // Also dark ones, on the line.
        const double level = trial % 3 == 0 ? 0.01 : 1.0;
        const cmsCIEXYZ cms_xyz{level * uniform(random), level * uniform(random), level * uniform(random)};
        cmsCIELab cms_lab;
        cmsXYZ2Lab(&cms_white, &cms_lab, &cms_xyz);
        const Xyz xyz{100.0 * cms_xyz.X, 100.0 * cms_xyz.Y, 100.0 * cms_xyz.Z};
        const Lab lab = lab_from_xyz(xyz, kWhite);
        INFO(xyz.vector().transpose());
        CHECK((lab.vector() - Eigen::Vector3d(cms_lab.L, cms_lab.a, cms_lab.b)).cwiseAbs().maxCoeff() <=
              kDoubles * 100.0);
        cmsCIEXYZ back;
        cmsLab2XYZ(&cms_white, &back, &cms_lab);
        CHECK((xyz_from_lab(lab, kWhite).vector() / 100.0 - Eigen::Vector3d(back.X, back.Y, back.Z))
                  .cwiseAbs()
                  .maxCoeff() <= kDoubles);
    }
}

TEST_CASE("CIELAB does not jump or turn back where line and cube root meet") {
    double before = -kInfinity;
    for (int step = -200; step <= 200; ++step) {
        const double share = std::pow(24.0 / 116.0, 3) * (1.0 + 1e-14 * step);
        const double l_star = lab_from_xyz(Xyz{1, 100.0 * share, 1}, kWhite).l_star;
        CHECK(std::abs(l_star - 8.0) <= 1e-10);
        CHECK(l_star >= before - 1e-13);
        before = l_star;
    }
}

TEST_CASE("colours of different observers are different types") {
    STATIC_REQUIRE_FALSE(std::is_convertible_v<TristimulusOf<ColourMatching::cie1964_10deg>, Xyz>);
    STATIC_REQUIRE_FALSE(std::is_convertible_v<LabOf<ColourMatching::cie2015_2deg>, Lab>);
    STATIC_REQUIRE_FALSE(std::is_convertible_v<TristimulusOf<ColourMatching::cie2015_2deg>,
                                               TristimulusOf<ColourMatching::cie2015_10deg>>);
    STATIC_REQUIRE_FALSE(std::is_convertible_v<ChromaticityOf<ColourMatching::cie1964_10deg>, Chromaticity>);
}

TEST_CASE("what has no CIELAB colour is refused") {
    for (const double wrong : {kNan, kInfinity, -kInfinity, 0.0, -1.0}) {
        for (const Xyz& white : {Xyz{wrong, 100, 100}, Xyz{100, wrong, 100}, Xyz{100, 100, wrong}}) {
            for (const auto& text :
                 {input_error_text([&] { lab_from_xyz(kWhite, white); }), input_error_text([&] {
                      xyz_from_lab(Lab{50, 0, 0}, white);
                  })}) {
                CHECK_THAT(text, Catch::StartsWith("a white with tristimulus values ") &&
                                     Catch::EndsWith("give a white with three finite values greater than 0"));
            }
        }
    }
    for (const double wrong : {kNan, kInfinity, -kInfinity}) {
        for (const Eigen::Vector3d& values :
             {Eigen::Vector3d(wrong, 1, 1), Eigen::Vector3d(1, wrong, 1), Eigen::Vector3d(1, 1, wrong)}) {
            CHECK_THAT(input_error_text([&] { lab_from_xyz(Xyz::from_vector(values), kWhite); }),
                       Catch::StartsWith("tristimulus values of ") && Catch::EndsWith("give finite numbers"));
            CHECK_THAT(input_error_text([&] { xyz_from_lab(Lab::from_vector(values), kWhite); }),
                       Catch::StartsWith("L*, a*, b* of ") && Catch::EndsWith("give finite numbers"));
        }
    }
    CHECK_THAT(input_error_text([] {
                   xyz_from_lab(Lab{1e200, 0, 0}, kWhite);
               }),
               Catch::Contains("give finite numbers"));
    CHECK_THAT(input_error_text([] {
                   lab_from_xyz(Xyz{1e300, 1, 1}, Xyz{1e-300, 1, 1});
               }),
               Catch::Contains("give finite numbers"));
}
