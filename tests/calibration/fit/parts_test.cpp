// The smaller parts of a fit.

#include <catch2/catch.hpp>

#include "base/random.h"
#include "calibration/fit/box_least_squares.h"
#include "calibration/fit/dark.h"
#include "calibration/fit/drift.h"
#include "calibration/fit/emission_fit.h"
#include "calibration/fit/response_weights.h"
#include "calibration/fit/tone_fit.h"
#include "calibration/fit/verification.h"
#include "colorimetry/colour_space.h"
#include "support/simulated_panel.h"
#include "support/tolerances.h"

using namespace isoseam;

TEST_CASE("least squares in a box finds the minimum, inside and at a wall") {
    // Rosenbrock's valley: both residuals vanish at (1, 1).
    const Residuals valley = [](const Eigen::VectorXd& p) {
        return Eigen::VectorXd(Eigen::Vector2d(10.0 * (p[1] - p[0] * p[0]), 1.0 - p[0]));
    };
    const Eigen::Vector2d start(-1.2, 1.0);
    const BoxMinimum inside =
        least_squares_in_box(valley, start, {Eigen::Vector2d(-2, -2), Eigen::Vector2d(2, 2)});
    CHECK((inside.parameters - Eigen::Vector2d(1.0, 1.0)).norm() < 1e-4);
    const BoxMinimum at_wall =
        least_squares_in_box(valley, start, {Eigen::Vector2d(-2, -2), Eigen::Vector2d(0.5, 2)});
    CHECK((at_wall.parameters - Eigen::Vector2d(0.5, 0.25)).norm() < 1e-4);
}

TEST_CASE("each form is found again from its own levels, and foretells best what it made") {
    const std::vector<ToneResponse> truths{
        ToneResponse::of_form(ToneForm::gain_offset_gamma, {0.08, 2.4}),
        ToneResponse::of_form(ToneForm::offset_power, {0.055, 2.4}),  // IEC 61966-2-1
        ToneResponse::of_form(ToneForm::s_shaped, {2.4, 3.0, 0.8}),
        ToneResponse::points({0.0, 0.2, 0.4, 0.6, 0.8, 1.0}, {0.0, 0.1, 0.12, 0.5, 0.55, 1.0}),
    };
    for (const ToneResponse& truth : truths) {
        CAPTURE(to_string(truth.form()));
        ToneLevels levels;
        for (int k = 1; k <= 20; ++k) {
            levels.drive.push_back(k / 20.0);
            levels.light.push_back(3.0 * truth.linear_from_drive(k / 20.0));
            levels.weight.push_back(1.0);
        }
        const ToneChoice choice = choose_tone(levels);
        CHECK(choice.candidates.front().form == truth.form());
        CHECK(choice.candidates.size() == 4);
        CHECK(choice.fit.scale == Approx(3.0).epsilon(1e-5));
        const std::vector<double> found = choice.fit.response.parameters();
        for (std::size_t i = 0; i < found.size(); ++i)
            CHECK(found[i] == Approx(truth.parameters()[i]).epsilon(1e-3));
    }
}

TEST_CASE("lightness is that of CIE 015:2018") {
    CHECK(lightness(1.0) == Approx(100.0).epsilon(test::kRoundingOfDoubles));
    CHECK(lightness(0.18) == Approx(49.496).epsilon(1e-4));  // from the formula by hand: 116 * 0.56462 - 16
    CHECK(lightness(0.001) == Approx(0.9033).epsilon(1e-3));
    CHECK(lightness(-0.001) == -lightness(0.001));
}

TEST_CASE("black's mean and noise are those of its readings") {
    const RandomStream random{3, 904};
    Eigen::MatrixXd readings(6, 300);
    std::uint64_t draw = 0;
    for (double& value : readings.reshaped())
        value = 5.0 + 2.0 * random.normal(draw++);
    const Dark dark = dark_of(readings);
    CHECK(dark.readings == 6);
    CHECK(dark.noise_from_repeats);
    CHECK((dark.mean - readings.colwise().mean().transpose()).norm() == 0.0);
    CHECK(dark.noise.mean() == Approx(2.0).epsilon(0.05));
    const Dark one = dark_of(readings.topRows(1));
    CHECK_FALSE(one.noise_from_repeats);
    CHECK(one.noise[0] == Approx(2.0).epsilon(0.15));
    readings.row(5).array() += 12.0;
    CHECK(dark_of(readings).drift == Approx(10.0).epsilon(0.05));
}

TEST_CASE("a drift that stands out is followed, and scatter is not") {
    const RandomStream random{4, 905};
    std::vector<WhiteAtTime> drifting, steady;
    for (int i = 0; i < 20; ++i) {
        const double at_s = 180.0 * i;
        const double noise = 1e-3 * random.normal(static_cast<std::uint64_t>(i));
        drifting.push_back({at_s, 50.0 * (1.0 - 0.02 * at_s / 3600.0 + noise)});
        steady.push_back({at_s, 50.0 * (1.0 + noise)});
    }
    const Drift found = drift_of(drifting);
    CHECK(found.followed);
    CHECK(found.per_hour == Approx(-0.02).epsilon(0.1));
    CHECK(found.gain_at(0.0) == Approx(1.0 / 0.981).epsilon(0.002));
    CHECK(found.gain_at(1e6) == 1.0);
    const Drift none = drift_of(steady);
    CHECK_FALSE(none.followed);
    CHECK(none.gain_at(0.0) == 1.0);
    CHECK(drift_of({{0.0, 1.0}, {0.0, 1.02}}).range == Approx(0.02).epsilon(0.02));
    CHECK(drift_of({}).whites == 0);
}

TEST_CASE("a ramp without noise gives its spectrum and its levels back") {
    const test::SimulatedPanel panel = test::simulated_panel();
    std::vector<ColourReadings> ramp;
    for (const double drive : {0.2, 0.6, 1.0}) {
        ColourReadings level;
        level.drive = drive * Eigen::Vector3d::Unit(1);
        level.light = panel.light(level.drive);
        level.each = level.light.transpose();
        ramp.push_back(level);
    }
    const RampFit fit = fit_ramp(ramp, panel.black);
    CHECK((fit.spectrum - panel.primaries.col(1)).norm() < 1e-12 * fit.spectrum.norm());
    CHECK(fit.levels[1] == Approx(panel.tones[1].linear_from_drive(0.6)).epsilon(1e-12));
}

TEST_CASE("weights of a grid give what the spectra themselves give") {
    const test::SimulatedPanel panel = test::simulated_panel(7.0);
    const Observer observer = Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
    const ResponseWeights weights(panel.wavelengths_nm, observer);
    const Eigen::VectorXd light = panel.light(Eigen::Vector3d(0.3, 0.9, 0.5));
    const Spectrum spectrum =
        Spectrum::from_radiance_w_sr_m2_nm(panel.wavelengths_nm, {light.begin(), light.end()});
    CHECK((weights.xyz * light - tristimulus(spectrum).vector()).norm() < 1e-12 * 683.0);
    CHECK((weights.lms * light - observer.excitations(spectrum).vector()).norm() < 1e-14);
}

TEST_CASE("a summary is mean, median, 95th percentile and largest") {
    std::vector<double> values;
    for (int i = 100; i >= 0; --i)
        values.push_back(i);
    const ErrorSummary summary = summary_of(values);
    CHECK(summary.mean == 50.0);
    CHECK(summary.median == 50.0);
    CHECK(summary.percentile_95 == 95.0);
    CHECK(summary.max == 100.0);
    CHECK(std::isnan(summary_of({}).max));
}
