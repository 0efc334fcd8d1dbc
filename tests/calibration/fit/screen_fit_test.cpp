// Real readings: open measurements in a BSD-licensed public repository (2022), see tests/published/.

#include "calibration/fit/screen_fit.h"

#include <catch2/catch.hpp>

#include "base/yaml_reader.h"
#include "calibration/fit/verification.h"
#include "calibration/interaction_model.h"
#include "support/error_text.h"
#include "support/published_table.h"
#include "support/simulated_panel.h"
#include "support/tolerances.h"

using namespace isoseam;
using test::input_error_text;

namespace {

// The best that is published for additive models of LCDs.
constexpr double kMeanDe2000 = 0.35;
constexpr double kMaxDe2000 = 1.0;

Readings published_readings(const std::string& name) {
    return parse_readings(read_text_file(test::published_path(name)), name);
}

Readings only(Readings readings, auto condition) {
    std::erase_if(readings.rows, [&](const Reading& row) { return !condition(row.drive.fractions); });
    return readings;
}

bool is_mixed(const Eigen::VectorXd& drive) {
    return (drive.array() > 0.0).count() > 1;
}
bool is_not_mixed(const Eigen::VectorXd& drive) {
    return !is_mixed(drive);
}

const ScreenTest& named(const ScreenFit& fit, const std::string& name) {
    for (const ScreenTest& test : fit.tests) {
        if (test.name == name)
            return test;
    }
    throw std::out_of_range(name);
}

double score_of(const ScreenFit& fit, const std::string& name) {
    for (const InteractionCandidate& candidate : fit.interactions) {
        if (candidate.name == name)
            return candidate.score.value();
    }
    throw std::out_of_range(name);
}

void check_reads_back(const Calibration& calibration) {
    const std::string text = calibration_text(calibration);
    const Calibration again = parse_calibration(text, "again.yaml");
    CHECK(calibration_text(again) == text);
    for (std::size_t i = 0; i < calibration.primaries.size(); ++i) {
        for (double drive = 0.0; drive <= 1.0; drive += 1.0 / 64.0)
            CHECK(again.primaries[i].tone.linear_from_drive(drive) ==
                  calibration.primaries[i].tone.linear_from_drive(drive));
    }
}

std::string refusal(const Readings& readings) {
    return input_error_text([&] { fit_screen(readings, "t.csv", {}); });
}

Readings small_table() {
    test::SimulatedPanel panel = test::simulated_panel();
    test::SimulatedReader reader(panel, 9);
    reader.read(Eigen::Vector3d::Zero(), 3);
    for (const double drive : {0.25, 0.5, 0.75, 1.0}) {
        for (int i = 0; i < 3; ++i)
            reader.read(drive * Eigen::Vector3d::Unit(i));
    }
    Readings readings = reader.readings();
    for (std::size_t i = 0; i < readings.rows.size(); ++i)
        readings.rows[i].line = static_cast<int>(i) + 2;
    return readings;
}

}  // namespace

TEST_CASE("a real screen near additive, fitted on its primaries, foretells its white ramp") {
    const Readings readings = published_readings("display_1_readings.csv");
    const ScreenFit fit = fit_screen(only(readings, is_not_mixed), "display 1", {});
    const Verification result = verify(fit.calibration, only(readings, is_mixed), "white ramp");
    CHECK(result.colours.size() == 4);
    CHECK(result.de2000.mean <= kMeanDe2000);
    CHECK(result.de2000.max <= kMaxDe2000);
    CHECK(result.passed);
    CHECK(result.white_was_read);
    CHECK_FALSE(result.relative);
    check_reads_back(fit.calibration);
}

TEST_CASE("four levels are too few to test an S-shaped curve, and the fit says so") {
    const ScreenFit fit = fit_screen(published_readings("display_1_readings.csv"), "display 1", {});
    const ToneCandidate& last = fit.tones[0].back();
    CHECK(last.form == ToneForm::s_shaped);
    CHECK_FALSE(last.score);
    CHECK(last.why_untested == "4 levels are too few: with one left out they do not determine it");
    CHECK(fit.additive);
    CHECK(fit.calibration.interactions.empty());
    CHECK(named(fit, "dimming_by_area").words == "not tested: white was not read on patches of other sizes");
}

TEST_CASE("a phone panel in its own colour mode is found not to add up, and interactions halve the error") {
    const ScreenFit fit = fit_screen(published_readings("display_2_readings.csv"), "display 2", {});
    CHECK_FALSE(fit.additive);
    CHECK_FALSE(named(fit, "additivity").passed());
    CHECK_THAT(named(fit, "additivity").words, Catch::StartsWith("the screen does NOT add its primaries up"));
    CHECK(fit.interaction == "pairs alike and all three");
    CHECK(score_of(fit, fit.interaction) <= 0.5 * score_of(fit, "none"));
    // Greys alone cannot tell one pair from another.
    for (const InteractionCandidate& candidate : fit.interactions) {
        if (candidate.name == "pairs")
            CHECK_THAT(candidate.why_untested, Catch::StartsWith("the readings do not determine it"));
    }
    CHECK_THAT(fit.calibration.unfit,
               Catch::StartsWith("this screen does not add its primaries up, and the best model "
                                 "misses colours that it has not seen by "));
    CHECK_THAT(fit.calibration.unfit,
               Catch::Contains("nothing proves that a wanted light has one drive only"));
    CHECK(fit.calibration.interactions.size() == 4);
    check_reads_back(fit.calibration);
    CHECK_THAT(input_error_text([&] { require_ready_for_session(fit.calibration); }),
               Catch::Contains("unfit: this screen does not add its primaries up"));
}

TEST_CASE("counts stay counts until the luminance of white is told") {
    const Readings readings = published_readings("display_1_readings.csv");
    const ScreenFit counts = fit_screen(readings, "display 1", {});
    CHECK_FALSE(counts.calibration.scale_known);
    ScreenFitOptions options;
    options.white_luminance_cd_m2 = 120.0;
    const ScreenFit light = fit_screen(readings, "display 1", options);
    CHECK(light.calibration.scale_known);
    const double scale = light.white.y / counts.white.y;
    CHECK(light.white.y == Approx(120.0).epsilon(0.01));
    CHECK(light.calibration.primaries[1].spectrum.at_nm(540.0) ==
          Approx(scale * counts.calibration.primaries[1].spectrum.at_nm(540.0)).epsilon(test::kFiveDigits));
    check_reads_back(light.calibration);
    const Verification relative = verify(light.calibration, only(readings, is_mixed), "white ramp");
    CHECK(relative.relative);
    CHECK(relative.de2000.mean <= kMeanDe2000);
}

TEST_CASE("what nobody told is unknown in the file, and a session refuses it") {
    ScreenFitOptions options;
    options.details.name = "left";
    options.details.refresh_hz = 60.0;
    const ScreenFit fit = fit_screen(small_table(), "t.csv", options);
    CHECK(fit.calibration.unknown ==
          std::vector<std::string>{"measured.on", "measured.with", "measured.warm_up", "valid_until",
                                   "conditions.resolution", "conditions.bits", "conditions.pixel_pitch"});
    const Calibration again = parse_calibration(calibration_text(fit.calibration), "left.yaml");
    CHECK(again.unknown == fit.calibration.unknown);
    CHECK(again.scale_known);
    CHECK(input_error_text([&] { require_known_lights(again); }) == "no error");
    CHECK(input_error_text([&] { require_ready_for_session(again); }) ==
          "left.yaml: valid_until: unknown, and needed for a session; write it into the file\n"
          "left.yaml: conditions.resolution: unknown, and needed for a session; write it into the file\n"
          "left.yaml: conditions.bits: unknown, and needed for a session; write it into the file\n"
          "left.yaml: conditions.pixel_pitch: unknown, and needed for a session; write it into the file");
}

TEST_CASE("a table that cannot be fitted is refused with the reason and a remedy") {
    const Readings sound = small_table();
    REQUIRE(refusal(sound) == "no error");
    Readings readings = only(sound, [](const auto& d) { return d.sum() > 0.0; });
    CHECK(refusal(readings) ==
          "t.csv: no reading of black; read the screen with all drives at 0, several times: black "
          "is subtracted from all others");
    readings = only(sound, [](const auto& d) { return d[0] == 0.0; });
    CHECK(refusal(readings) ==
          "t.csv: r: this primary was never read alone; read it at several drives with all others at 0");
    readings = only(sound, [](const auto& d) { return d[1] < 1.0; });
    CHECK(refusal(readings) == "t.csv: g: its highest drive is 0.75; read it at drive 1 too");
    readings = only(sound, [](const auto& d) { return d[2] == 0.0 || d[2] > 0.6; });
    CHECK(refusal(readings) ==
          "t.csv:16: b: 2 levels above 0 are too few to tell how light follows drive; read at "
          "least 3; a dozen, denser near black, is better");
    readings = sound;
    for (Reading& row : readings.rows) {
        if (row.drive.fractions[0] > 0.0)
            row.values = readings.rows[0].values;
    }
    CHECK(refusal(readings) ==
          "t.csv:14: r: this primary gives no light at full drive; check the cable, the picture "
          "mode and which column belongs to which primary");
    readings = sound;
    std::swap(readings.rows[6].values, readings.rows[9].values);  // r at 0.5 and at 0.75
    CHECK_THAT(refusal(readings),
               Catch::Matches("t\\.csv:11: r: light falls from 0\\.5\\d+ to 0\\.2\\d+ of full "
                              "between drives 0\\.5 and 0\\.75; read both again: a tone response "
                              "must rise"));
    readings = sound;
    for (std::size_t i = 58; i < 63; ++i)
        readings.rows[12].values[i] = 0.5;
    CHECK_THAT(refusal(readings),
               Catch::StartsWith("t.csv:14: saturated: 5 samples in a row at 0.5 from 612 to 628 nm; "
                                 "read it again with a shorter integration time"));
    readings = sound;
    readings.rows[12].values[10] = -2e-4;
    CHECK_THAT(refusal(readings),
               Catch::StartsWith("t.csv:14: negative light: 0.0002 below black at 420 nm; take the "
                                 "instrument's dark signal anew"));
    readings = sound;
    for (Reading& row : readings.rows) {
        for (double& value : row.values)
            value *= 1000.0;
    }
    CHECK_THAT(refusal(readings),
               Catch::Matches("t\\.csv: with these readings in W/\\(sr m2 nm\\) white would have "
                              "8\\.35e\\+04 cd/m2; check the unit \\(milliwatts: divide by 1000\\), or say "
                              "that they are counts \\(--unit counts\\)"));
    readings = sound;
    for (Reading& row : readings.rows)
        std::swap(row.drive.fractions[0], row.drive.fractions[1]);
    CHECK(refusal(readings) == "no error");  // a swap of names that no program can see
    for (Reading& row : readings.rows) {
        if (row.drive.fractions[0] > 0.0) {
            const auto twin = std::find_if(
                readings.rows.begin(), readings.rows.end(),
                [&](const Reading& other) { return other.drive.fractions[1] == row.drive.fractions[0]; });
            row.values = twin->values;
        }
    }
    CHECK(refusal(readings) ==
          "t.csv: g: nearly the spectrum of 'r'; check which column drives which primary");
}

TEST_CASE("wavelengths that miss what cones see are refused with how much that matters") {
    Readings readings = small_table();
    readings.wavelengths_nm.erase(readings.wavelengths_nm.begin(), readings.wavelengths_nm.begin() + 16);
    for (Reading& row : readings.rows)
        row.values.erase(row.values.begin(), row.values.begin() + 16);
    CHECK_THAT(refusal(readings),
               Catch::Matches(
                   "t\\.csv: the readings cover 444 to 780 nm only; outside lies this share of the cones' "
                   "sensitivities: L 0\\.79 %, M 1\\.3 %, S 42 %; if the brightest reading goes on there "
                   "as it ends, so much of its excitations is missing: L .* %, M .* %, S .* %; measure at "
                   "least from 400 to 700 nm"));
}

TEST_CASE("the same table and seed give the same fit") {
    ScreenFitOptions options;
    options.replicates = 20;
    const Readings readings = small_table();
    const std::string once = calibration_text(fit_screen(readings, "t.csv", options).calibration);
    CHECK(calibration_text(fit_screen(readings, "t.csv", options).calibration) == once);
    options.seed = 2;
    CHECK(calibration_text(fit_screen(readings, "t.csv", options).calibration) != once);
}
