#include "calibration/fit/verification.h"

#include <catch2/catch.hpp>

#include "base/yaml_reader.h"
#include "colorimetry/cielab.h"
#include "colorimetry/colour_difference.h"
#include "colorimetry/colour_space.h"
#include "support/error_text.h"
#include "support/simulated_panel.h"
#include "support/tolerances.h"

using namespace isoseam;
using test::input_error_text;

namespace {

const std::string kSound = ISOSEAM_SOURCE_DIR "/tests/calibration/sound.yaml";

// What the model itself foretells, as readings; `change` of each spectrum.
Readings readings_of(const Calibration& calibration, const std::vector<Eigen::Vector3d>& drives,
                     auto change) {
    const DisplayModel display(calibration);
    Readings readings;
    readings.wavelengths_nm = calibration.black.wavelengths_nm();
    readings.unit = ReadingUnit::w_sr_m2_nm;
    readings.primaries = {"r", "g", "b"};
    for (const Eigen::Vector3d& drive : drives) {
        Reading reading;
        reading.drive.fractions = drive;
        reading.values = display.spectrum(display.linear_from_drive({drive})).values();
        for (double& value : reading.values)
            value = change(value);
        readings.rows.push_back(reading);
    }
    return readings;
}

const std::vector<Eigen::Vector3d> kDrives{
    {1.0, 1.0, 1.0}, {0.5, 0.5, 0.5}, {0.7, 0.2, 0.4}, {0.0, 0.0, 0.0}};

}  // namespace

TEST_CASE("a calibration foretells its own light without error") {
    const Calibration calibration = read_calibration(kSound);
    const Verification result =
        verify(calibration, readings_of(calibration, kDrives, [](double v) { return v; }), "t.csv");
    CHECK(result.passed);
    CHECK(result.de2000.max < 1e-9);
    CHECK(result.any_cone_contrast_percent.max < 1e-9);
    CHECK(result.uv.max < 1e-12);
    CHECK(result.limits.mean_de2000 == 1.0);
    CHECK_FALSE(result.limits_from_file);
}

TEST_CASE("errors are those of the definitions") {
    const Calibration calibration = read_calibration(kSound);
    const Readings readings = readings_of(calibration, kDrives, [](double v) { return 1.02 * v; });
    const Verification result = verify(calibration, readings, "t.csv");
    // The first colour in order of drive is black, the last white.
    const ColourError& white = result.colours.back();
    CHECK(white.luminance_percent == Approx(100.0 * (1.0 / 1.02 - 1.0)).epsilon(test::kFiveDigits));
    // Of a grey with half the light of the white that was read.
    for (int cone = 0; cone < 3; ++cone)
        CHECK(white.cone_contrast_percent[cone] ==
              Approx(200.0 * (1.0 / 1.02 - 1.0)).epsilon(test::kFiveDigits));
    const Xyz read = tristimulus(spectrum_of(readings, readings.rows[0]));
    const Xyz foretold = Xyz::from_vector(read.vector() / 1.02);
    CHECK(white.de2000 == Approx(delta_e_2000(lab_from_xyz(foretold, read), lab_from_xyz(read, read)))
                              .epsilon(test::kFiveDigits));
    CHECK(*white.uv < 1e-12);
    CHECK_FALSE(result.colours.front().uv);  // black has no chromaticity worth comparing
    CHECK_FALSE(result.passed);
    CHECK_THAT(result.words, Catch::StartsWith("the calibration does NOT hold: mean CIEDE2000 "));
    CHECK_THAT(result.words, Catch::EndsWith("largest cone contrast error in % 3.92 (ABOVE 2)"));
}

TEST_CASE("limits are those of the file") {
    Calibration calibration = read_calibration(kSound);
    calibration.limits = VerificationLimits{5.0, 5.0, 5.0};
    const Readings readings = readings_of(calibration, kDrives, [](double v) { return 1.02 * v; });
    CHECK(verify(calibration, readings, "t.csv").passed);
    calibration.limits->max_de2000 = 0.1;
    CHECK_FALSE(verify(calibration, readings, "t.csv").passed);
}

TEST_CASE("a table with verification steps is verified by these, and repeats count once") {
    const Calibration calibration = read_calibration(kSound);
    Readings readings = readings_of(calibration, kDrives, [](double v) { return v; });
    readings.rows.push_back(readings.rows[2]);
    readings.rows[2].step = "verification.1";
    readings.rows[4].step = "verification.1";
    for (double& value : readings.rows[1].values)
        value *= 2.0;  // would be an error, if it were looked at
    const Verification result = verify(calibration, readings, "t.csv");
    REQUIRE(result.colours.size() == 1);
    CHECK(result.colours[0].readings == 2);
    CHECK(result.white_was_read);
    CHECK(result.passed);
    CHECK(result.remarks.back() == "2 of 5 readings were compared: those of steps named verification");
}

TEST_CASE("units that differ are compared relative to white, or refused without one") {
    const Calibration calibration = read_calibration(kSound);
    Readings readings = readings_of(calibration, kDrives, [](double v) { return 3e6 * v; });
    readings.unit = ReadingUnit::counts;
    const Verification result = verify(calibration, readings, "t.csv");
    CHECK(result.relative);
    CHECK(result.de2000.max < 1e-9);
    CHECK_THAT(result.remarks.back(),
               Catch::StartsWith("the readings are in counts, the calibration in W/(sr m2 nm): "
                                 "they were compared relative to white"));
    readings.rows.erase(readings.rows.begin());
    CHECK(input_error_text([&] { verify(calibration, readings, "t.csv"); }) ==
          "t.csv: the readings are in counts, the calibration in W/(sr m2 nm); read white too, so that both "
          "can be "
          "compared relative to it");
}

TEST_CASE("readings of another screen are refused") {
    const Calibration calibration = read_calibration(kSound);
    Readings readings = readings_of(calibration, kDrives, [](double v) { return v; });
    readings.primaries = {"p1", "p2", "p3", "p4"};
    CHECK(input_error_text([&] { verify(calibration, readings, "t.csv"); }) ==
          "t.csv: 4 primaries, but the calibration has 3; verify a calibration with readings of its own "
          "screen");
}

TEST_CASE("without white in the table the calibration's own is white, and it says so") {
    const Calibration calibration = read_calibration(kSound);
    const Readings readings =
        readings_of(calibration, {{0.5, 0.5, 0.5}, {0.7, 0.2, 0.4}}, [](double v) { return v; });
    const Verification result = verify(calibration, readings, "t.csv");
    CHECK_FALSE(result.white_was_read);
    CHECK(result.passed);
    CHECK_THAT(result.remarks.back(), Catch::StartsWith("white was not read"));
}
