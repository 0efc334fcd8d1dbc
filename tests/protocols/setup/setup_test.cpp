// A protocol with its calibrations: what each light becomes on the half that shows it.

#include <algorithm>
#include <catch2/catch.hpp>

#include "colorimetry/colour_space.h"
#include "protocols/checks/cautions.h"
#include "protocols/checks/check.h"
#include "support/error_text.h"
#include "support/invented_display.h"
#include "support/protocols/example_protocol.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

// Solving and emitting again: a few roundings, times the condition number of a screen (below 100).
constexpr double kRounding = 1e-12;

void check_near(const Eigen::Vector3d& a, const Eigen::Vector3d& b, double relative) {
    INFO(a.transpose() << " against " << b.transpose());
    CHECK(((a - b).cwiseQuotient(b)).cwiseAbs().maxCoeff() <= relative);
}

}  // namespace

TEST_CASE("an xyY light is what a colorimeter reads, on every screen that shows it") {
    const Setup setup = setup_of(kExample);
    const Xyz wanted = xyz_from_xyy({{0.31, 0.33}, 30.0});
    for (const int source : {0, 1}) {
        const LinearDrive drive = setup.light_on(parse_light("grey"), source);
        check_near(setup.solver(source).display().xyz(drive).vector(), wanted.vector(), kRounding);
    }
}

TEST_CASE("a light with a spectrum is met in its excitations") {
    const Setup setup = setup_of(kExample);
    const Spectrum lamp = Spectrum::blackbody(5000.0);
    const Spectrum scaled = lamp.scaled(20.0 / luminance_cd_m2(lamp));
    const LinearDrive drive = setup.light_on(parse_light("blackbody 5000 K at 20 cd/m2"), 1);
    check_near(setup.solver(1).lms(drive).vector(), setup.observer().excitations(scaled).vector(), 1e-9);
}

TEST_CASE("a contrast is met from its background as the same screen shows it") {
    const Setup setup = setup_of(kExample);
    for (const int source : {0, 1}) {
        const DriveSolver& solver = setup.solver(source);
        const Lms grey = solver.lms(setup.light_on(parse_light("grey"), source));
        const Lms pinkish = solver.lms(setup.light_on(parse_light("pinkish"), source));
        const ConeContrast contrast = cone_contrast(pinkish, grey);
        CHECK(std::abs(contrast.l - 0.04) <= kRounding);
        CHECK(std::abs(contrast.m + 0.04) <= kRounding);
        CHECK(std::abs(contrast.s) <= kRounding);
    }
}

TEST_CASE("black is the screen's own black") {
    const Setup setup = setup_of(kExample);
    CHECK(setup.surround(0).fractions == Eigen::VectorXd::Zero(3));
    CHECK(setup.surround(1).fractions == Eigen::VectorXd::Zero(3));
}

TEST_CASE("surround, mark and adapting light are what was asked for on the source that shows them") {
    const Setup setup =
        setup_of(example_with({{"surround: black",
                                "surround: grey, fixation: {mark: dot, size: 0.2 deg, light: black}"}}) +
                 "adaptation: {light: pinkish, duration: 5 s}\n");
    CHECK(setup.field_source() == 0);  // the reference half's
    for (const int source : {0, 1}) {
        CHECK(setup.surround(source).fractions == setup.light_on(parse_light("grey"), source).fractions);
        CHECK(setup.adaptation(source).fractions == setup.light_on(parse_light("pinkish"), source).fractions);
        CHECK(setup.fixation(source).fractions.isZero());
    }
}

TEST_CASE("the predicted match is what the reference half's codes emit, not what was asked for") {
    const Setup setup = setup_of(kExample);
    CHECK(setup.reference_half() == Half::first);
    const DisplayModel& lcd = setup.solver(0).display();
    const Lms asked = setup.solver(0).lms(setup.reference(0));
    for (const int bits : {8, 10}) {
        const AdjustmentProblem problem = setup.adjustment(0, bits);
        CHECK(problem.solver == &setup.solver(1));
        const LinearDrive emitted = linear_from_code(code_from_linear(setup.reference(0), lcd, bits), lcd);
        check_near(problem.predicted.vector(), lcd.lms(emitted, setup.observer()).vector(), kRounding);
        CHECK((problem.predicted.vector() - asked.vector()).norm() > 0.0);
        const Lms match = lms_at(problem, Eigen::VectorXd::Zero(3));
        check_near(match.vector(), problem.predicted.vector(), kRounding);
    }
}

TEST_CASE("axes of primaries are filled up to the screen's own count") {
    Protocol protocol = parse_protocol(example_with({{", narrow: " + kDemoNarrowBand, ""},
                                                     {"right: narrow", "right: lcd"},
                                                     {"cone_contrast", "primaries"},
                                                     {"L-M:", "primary 4:"},
                                                     {"L+M:", "primary 1:"},
                                                     {"S:", "primary 2:"}}),
                                       "example.yaml");
    const Setup setup(std::move(protocol), {invented_calibration({630.0, 560.0, 510.0, 450.0})});
    const AdjustmentProblem problem = setup.adjustment(0, 8);
    CHECK(problem.axes[0].direction == Eigen::Vector4d(0, 0, 0, 1));
    CHECK(problem.axes[1].direction == Eigen::Vector4d(1, 0, 0, 0));
    CHECK(reachable_share(problem) > 0.5);
}

TEST_CASE("a light that does not fit is told at its own line, whoever asks for it") {
    const Setup setup =
        setup_of(example_with({{"  pinkish:", "  glare: xyY 0.31 0.33 at 500 cd/m2\n  pinkish:"}}));
    const std::string told = input_error_text([&] { setup.light_on(parse_light("glare"), 0); });
    CHECK(
        told.find(
            "example.yaml:11:10: lights.glare: 'glare' (a light) is out of the gamut of source 'lcd' by ") ==
        0);
    CHECK(input_error_text([&] {
              setup.light_on(parse_light("lms 1 1 1"), 0);
          }).find("example.yaml: a light is out of the gamut of source 'lcd'") == 0);
    CHECK(input_error_text([&] { setup.light_on(parse_light("gray"), 0); }).find("gray") !=
          std::string::npos);
}

TEST_CASE("halves share primaries on one screen, and on two screens of one kind") {
    CHECK_FALSE(setup_of(kExample).halves_share_primaries());
    CHECK(setup_of(example_with({{kDemoNarrowBand, kDemoLcd}})).halves_share_primaries());
    CHECK(setup_of(example_with({{", narrow: " + kDemoNarrowBand, ""}, {"right: narrow", "right: lcd"}}))
              .halves_share_primaries());
}

TEST_CASE("a test light is predicted at the radiance that gives it the reference's luminance") {
    const std::string text =
        example_with({{"  - {name: grey, reference: grey, repeats: 5}",
                       "  - {name: grey, reference: grey, test: pinkish, repeats: 5}"},
                      {"contrast L 4 % M -4 % from grey", "contrast L 8 % M -4 % S 30 % from grey"}});
    const Setup setup = setup_of(text);
    const AdjustmentProblem problem = setup.adjustment(0, {8, DitherKind::ordered});
    const Lms reference = setup.solver(0).lms(setup.reference(0));
    // V_F of CIE 170-2:2015: 0.68990272 L + 0.34832189 M.
    const auto luminance = [](const Lms& lms) { return 0.68990272 * lms.l + 0.34832189 * lms.m; };
    CHECK(luminance(problem.predicted) == Approx(luminance(reference)).epsilon(1e-7));
    const Lms test = setup.light(setup.protocol().lights.at("pinkish").spec, 1).lms;
    const Eigen::Vector3d factors = problem.predicted.vector().cwiseQuotient(test.vector());
    CHECK(factors.maxCoeff() == Approx(factors.minCoeff()).epsilon(1e-12));
    CHECK(std::abs(factors[0] - 1.0) > 0.01);  // it had to be scaled
    // Without a test light it is the reference itself, with dither exactly, without it by its codes.
    CHECK((setup.adjustment(1, {8, DitherKind::ordered}).predicted.vector() -
           setup.solver(0).lms(setup.reference(1)).vector())
              .norm() < 1e-15);
    CHECK((setup.adjustment(1, 8).predicted.vector() - setup.solver(0).lms(setup.reference(1)).vector())
              .norm() > 1e-9);
}

TEST_CASE("flicker is frames of the screen, with soft ramps and an end") {
    const std::string text =
        example_with({{", narrow: " + kDemoNarrowBand, ""},
                      {"right: narrow", "right: lcd"},
                      {"split: vertical, surround: black}",
                       "split: vertical, surround: black}\nflicker: {wave: square, exchange: lights, "
                       "frequency: 15 Hz, onset: 1 s, "
                       "largest_field: 2 deg, longest: 20 s, exclusion: any seizures}"}});
    const Setup setup = setup_of(text);
    const Flicker flicker = setup.flicker(60.0);
    CHECK(flicker.rate.frames_per_period == 4);
    CHECK(flicker.onset_frames == 60);
    CHECK(flicker.offset_frames == 60);
    CHECK(flicker.end_frame == 1200);
    CHECK_THROWS_AS(setup.flicker(75.0), InputError);
    const std::vector<std::string> cautions = caution_texts(cautions_of(setup));
    const auto told = [&](const std::string& words) {
        return std::any_of(cautions.begin(), cautions.end(), [&](const std::string& caution) {
            return caution.find(words) != std::string::npos;
        });
    };
    CHECK(told("Flicker of 15 Hz can trigger seizures"));
    CHECK(told("approval of your ethics board"));
    CHECK(told("WCAG 2.2"));
    CHECK(told("ITU-R BT.1702"));
}
