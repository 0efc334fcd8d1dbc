// Screens whose truth is known, because they are invented: how well a fit finds it, and whether it knows how
// well.

#include <catch2/catch.hpp>

#include "calibration/fit/screen_fit.h"
#include "calibration/fit/verification.h"
#include "calibration/interaction_model.h"
#include "support/simulated_panel.h"

using namespace isoseam;
using test::SimulatedPanel;

namespace {

// What a calibrated screen must reach.
constexpr double kMeanDe2000 = 0.3;
constexpr double kMaxDe2000 = 1.0;
constexpr double kConeContrastPercent95 = 0.2;

ScreenFit fitted(const SimulatedPanel& panel, std::uint64_t seed, Verification& verification) {
    test::SimulatedReader reader(panel, seed);
    test::read_plan(reader);
    test::read_verification(reader);
    for (const double area : {0.01, 0.05, 0.5, 1.0})
        reader.read(Eigen::Vector3d::Ones(), 1, "size", area);
    ScreenFitOptions options;
    options.replicates = 20;
    ScreenFit fit = fit_screen(reader.readings(), "simulated", options);
    verification = verify(fit.calibration, reader.readings(), "simulated");
    return fit;
}

void check_reached(const Verification& verification) {
    CHECK(verification.colours.size() == 24);
    CHECK(verification.de2000.mean <= kMeanDe2000);
    CHECK(verification.de2000.max <= kMaxDe2000);
    CHECK(verification.any_cone_contrast_percent.percentile_95 <= kConeContrastPercent95);
    CHECK(verification.passed);
}

bool passed(const ScreenFit& fit, const std::string& name) {
    for (const ScreenTest& test : fit.tests) {
        if (test.name == name)
            return test.value && test.passed();
    }
    return false;
}

}  // namespace

TEST_CASE("an additive screen is found additive and foretold") {
    Verification verification;
    const ScreenFit fit = fitted(test::simulated_panel(), 1, verification);
    CHECK(fit.additive);
    CHECK(fit.interaction == "none");
    CHECK(fit.calibration.unfit.empty());
    CHECK(fit.tones[0].front().form == ToneForm::gain_offset_gamma);
    for (const char* name :
         {"additivity", "chromaticity_of_primaries", "dimming_by_area", "drift", "black_drift"}) {
        CAPTURE(name);
        CHECK(passed(fit, name));
    }
    check_reached(verification);
}

TEST_CASE("3 % of interaction between the primaries is found, foretold, and turned round") {
    SimulatedPanel panel = test::simulated_panel();
    panel.interaction = 0.03;
    Verification verification;
    const ScreenFit fit = fitted(panel, 2, verification);
    CHECK_FALSE(fit.additive);
    CHECK(fit.calibration.unfit.empty());
    REQUIRE(fit.contraction);
    CHECK(*fit.contraction < 0.1);
    check_reached(verification);
}

TEST_CASE("a panel that dims with the light on it is found to do so, and foretold at its own patch") {
    SimulatedPanel panel = test::simulated_panel();
    panel.dimming = 0.25;
    Verification verification;
    const ScreenFit fit = fitted(panel, 3, verification);
    CHECK_FALSE(passed(fit, "dimming_by_area"));
    CHECK_FALSE(fit.additive);
    check_reached(verification);
}

TEST_CASE("a drift is followed by the whites in between, and taken out") {
    SimulatedPanel panel = test::simulated_panel();
    panel.drift_per_hour = -0.02;
    Verification verification;
    const ScreenFit fit = fitted(panel, 4, verification);
    CHECK(fit.additive);
    for (const ScreenTest& test : fit.tests) {
        if (test.name == "drift")
            CHECK_THAT(test.words, Catch::EndsWith("the drift was taken out of all readings"));
    }
    check_reached(verification);
}

TEST_CASE("readings with a noise of 0.2 % in every way suffice for CIEDE2000") {
    SimulatedPanel panel = test::simulated_panel();
    panel.factor_noise = 0.002;
    Verification verification;
    const ScreenFit fit = fitted(panel, 5, verification);
    CHECK(fit.additive);
    CHECK(fit.gain_noise == Approx(0.002).epsilon(0.3));
    CHECK(fit.noise_share == Approx(0.002).epsilon(0.1));
    CHECK(verification.de2000.mean <= kMeanDe2000);
    CHECK(verification.de2000.max <= kMaxDe2000);
}

TEST_CASE("readings without any noise are fitted too, and exactly") {
    SimulatedPanel panel = test::simulated_panel();
    panel.sample_noise = panel.floor_noise = 0.0;
    Verification verification;
    const ScreenFit fit = fitted(panel, 6, verification);
    CHECK(verification.de2000.max < 1e-3);
    CHECK(fit.noise_share < 1e-6);
    CHECK(fit.uncertainty.primaries.maxCoeff() < 1e-9);
}
