#include "calibration/display_estimate.h"

#include <Eigen/LU>
#include <catch2/catch.hpp>
#include <cmath>

#include "base/errors.h"
#include "calibration/display_model.h"
#include "support/error_text.h"
#include "support/tolerances.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

DisplayEstimate an_estimate(PanelType panel) {
    DisplayEstimate estimate;
    estimate.panel = panel;
    estimate.name = "lecture hall";
    estimate.width_px = 1920;
    estimate.height_px = 1080;
    estimate.screen_width_mm = 527.04;
    estimate.white_cd_m2 = 250.0;
    estimate.exponent = 2.3;
    estimate.tone_how = "exponent as stated";
    estimate.estimated_on = {2026, 11, 25};
    estimate.valid_until = {2027, 5, 24};
    return estimate;
}

}  // namespace

TEST_CASE("an estimate is a sound calibration file, marked, with the stated white") {
    const PanelType panel = GENERATE(PanelType::white_led_lcd, PanelType::wide_gamut_lcd, PanelType::oled);
    CAPTURE(to_string(panel));
    const Calibration made = estimated_calibration(an_estimate(panel));
    const Calibration read = parse_calibration(made.text, "a.yaml");
    CHECK(read.estimated);
    CHECK_FALSE(read.invented);
    CHECK(read.name == "lecture hall");
    CHECK(read.measured_with == "nothing (estimated)");
    CHECK_THAT(read.measured_how, Catch::Contains("invented typical shapes") &&
                                      Catch::Contains("250 cd/m2 as stated") &&
                                      Catch::Contains("tone: exponent as stated"));
    CHECK(read.pixel_pitch_mm == Approx(0.2745).epsilon(test::kFiveDigits));
    CHECK(read.primaries.at(2).tone.exponent() == 2.3);
    const DisplayModel display(read);
    const XyY white = xyy_from_xyz(display.xyz(LinearDrive{Eigen::Vector3d::Ones()}));
    CHECK(white.luminance_cd_m2 == Approx(250.0).epsilon(1e-9));
    // D65, CIE 015: x 0.3127, y 0.3290.
    CHECK(white.chromaticity.x == Approx(0.3127).margin(1e-9));
    CHECK(white.chromaticity.y == Approx(0.3290).margin(1e-9));
    CHECK(display.black_xyz().y == Approx(panel == PanelType::oled ? 0.0 : 0.25).margin(1e-9));
}

TEST_CASE("kinds of panels differ as they should: three bands and emitters span more than filters on white") {
    const auto area = [](PanelType panel) {
        const DisplayModel display(estimated_calibration(an_estimate(panel)));
        Eigen::Matrix3d corners = Eigen::Matrix3d::Ones();
        for (int i = 0; i < 3; ++i) {
            const UniformChromaticity at =
                uniform_chromaticity_from_xyz(Xyz::from_vector(display.xyz_from_linear().col(i)));
            corners(0, i) = at.u_prime;
            corners(1, i) = at.v_prime;
        }
        return 0.5 * std::abs(corners.determinant());
    };
    // The triangle of ITU-R BT.709's primaries has an area of 0.0649 in u', v' (from their x, y).
    const double broad = area(PanelType::white_led_lcd);
    CHECK(broad > 0.8 * 0.0649);
    CHECK(broad < 1.15 * 0.0649);
    CHECK(area(PanelType::wide_gamut_lcd) > 1.1 * broad);
    CHECK(area(PanelType::oled) > 1.1 * broad);
}

TEST_CASE("the exponent that made three settings is found, and disagreement between them shows") {
    for (const double exponent : {1.0, 1.8, 2.2, 3.0}) {
        std::array<double, 3> drives{};
        for (std::size_t i = 0; i < 3; ++i)
            drives[i] = std::pow(kLinePatternShares[i], 1.0 / exponent);
        CHECK(tone_from_line_patterns(drives).exponent == Approx(exponent).epsilon(1e-12));
    }
    // One code of 8 bits in each setting moves the exponent by at most 0.03 near 2.2.
    const double code = 1.0 / 255.0;
    const ToneByEye off = tone_from_line_patterns({0.5325 + code, 0.7297 + code, 0.8774 + code});
    CHECK(std::abs(off.exponent - 2.2) <= 0.05);
    CHECK(off.exponent > 2.2);
    CHECK(off.exponent_of_each[2] > off.exponent_of_each[0]);
}

TEST_CASE("settings that no tone curve has are refused with what to do") {
    for (const std::array<double, 3>& drives :
         {std::array{0.5, 0.4, 0.8}, std::array{0.0, 0.4, 0.8}, std::array{0.5, 0.7, 1.0},
          std::array{0.5, std::nan(""), 0.8}}) {
        CHECK_THAT(input_error_text([&] { tone_from_line_patterns(drives); }),
                   Catch::Contains("tone: drives") && Catch::Contains("set the patches again"));
    }
    CHECK_THAT(input_error_text([&] {
                   tone_from_line_patterns({1e-8, 2e-8, 3e-8});
               }),
               Catch::Contains("an exponent of 0.0"));
}

TEST_CASE("all faults of an estimate are told at once") {
    DisplayEstimate estimate = an_estimate(PanelType::oled);
    estimate.width_px = 0;
    estimate.white_cd_m2 = std::nan("");
    estimate.exponent = 11.0;
    estimate.valid_until = {2026, 1, 1};
    CHECK_THAT(input_error_text([&] { estimated_calibration(estimate); }),
               Catch::Contains("width: 0 pixels") && Catch::Contains("white: nan cd/m2") &&
                   Catch::Contains("tone: exponent 11") && Catch::Contains("2026-01-01 is in the past"));
    CHECK_THAT(input_error_text([] { parse_panel_type("crt"); }),
               Catch::Contains("unknown panel 'crt'; write one of: white-led-lcd, wide-gamut-lcd, oled"));
}
