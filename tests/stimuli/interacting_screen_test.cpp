// Wanted lights on screens whose primaries do not add up.

#include <catch2/catch.hpp>

#include "base/errors.h"
#include "base/random.h"
#include "stimuli/display_abilities.h"
#include "support/error_text.h"
#include "support/invented_display.h"

using namespace isoseam;

namespace {

// In linear light; the iteration stops at 1e-9.
constexpr double kRoundTrip = 1e-7;

DriveSolver solver_with(double share) {
    return {DisplayModel(test::interacting_calibration(share)),
            Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0))};
}

Eigen::Vector3d random_linear(const RandomStream& random, std::uint64_t& draw) {
    Eigen::Vector3d linear;
    for (double& value : linear)
        value = random.uniform(draw++);
    return linear;
}

}  // namespace

TEST_CASE("on a screen with interactions a drive's light leads back to the drive, for cones and for XYZ") {
    const DriveSolver solver = solver_with(0.1);
    const RandomStream random{8, 910};
    std::uint64_t draw = 0;
    for (int i = 0; i < 200; ++i) {
        const LinearDrive linear{random_linear(random, draw)};
        const Lms lms = solver.lms(linear);
        CHECK((lms.vector() - solver.display().lms(linear, solver.observer()).vector()).norm() < 1e-12);
        for (const DriveSolution& solution :
             {solver.solve(lms), solver.solve(solver.display().xyz(linear))}) {
            REQUIRE(solution.in_gamut);
            CHECK((solution.linear.fractions - linear.fractions).cwiseAbs().maxCoeff() < kRoundTrip);
            CHECK(solution.gamut_margin ==
                  Approx(std::min(linear.fractions.minCoeff(), 1.0 - linear.fractions.maxCoeff()))
                      .margin(kRoundTrip));
        }
    }
}

TEST_CASE("on a screen with interactions what no drive gives is out of gamut, by how much") {
    const DriveSolver solver = solver_with(0.1);
    const Lms white = solver.lms({Eigen::Vector3d::Ones()});
    CHECK(solver.solve(white).in_gamut);
    const DriveSolution beyond = solver.solve(Lms::from_vector(1.02 * white.vector()));
    CHECK_FALSE(beyond.in_gamut);
    CHECK(beyond.gamut_margin < -0.005);
    CHECK(beyond.gamut_margin > -0.1);
    // A tenth of the interactions moves the light by up to so much: ignoring them would show.
    const DriveSolver additive = solver_with(0.0);
    CHECK((additive.lms({Eigen::Vector3d::Ones()}).vector() - white.vector()).norm() > 0.05 * white.l);
}

TEST_CASE("the way to the border of a screen with interactions ends where a fraction is 0 or 1") {
    const RandomStream random{9, 911};
    std::uint64_t draw = 0;
    for (const double share : {0.0, 0.03, 0.1}) {
        CAPTURE(share);
        const DriveSolver solver = solver_with(share);
        for (int i = 0; i < 20; ++i) {
            const Lms from = solver.lms({0.2 * Eigen::Vector3d::Ones() + 0.6 * random_linear(random, draw)});
            const Eigen::Vector3d direction =
                (random_linear(random, draw) - 0.5 * Eigen::Vector3d::Ones()).cwiseProduct(from.vector());
            const double reach = reach_in_gamut(solver, from, direction);
            const DriveSolution border = solver.solve(Lms::from_vector(from.vector() + reach * direction));
            CHECK(border.in_gamut);
            CHECK(border.gamut_margin == Approx(0.0).margin(1e-6));
            CHECK_FALSE(
                solver.solve(Lms::from_vector(from.vector() + (1.0 + 1e-5) * reach * direction)).in_gamut);
        }
    }
}

TEST_CASE("one code on a screen with interactions changes the cones as its light says") {
    const DriveSolver solver = solver_with(0.1);
    const LinearDrive at{Eigen::Vector3d(0.3, 0.5, 0.7)};
    const Eigen::Matrix3Xd slopes = solver.lms_slopes(at);
    for (int i = 0; i < 3; ++i) {
        const Eigen::Vector3d step = 1e-3 * Eigen::Vector3d::Unit(i);
        const Eigen::Vector3d difference =
            solver.lms({at.fractions + step}).vector() - solver.lms({at.fractions - step}).vector();
        CHECK((slopes.col(i) - difference / 2e-3).norm() < 1e-9 * slopes.norm());
    }
    CHECK(largest_contrasts(solver, solver.lms(at)).size() == 10);
}

TEST_CASE("interactions that are too strong for a proof are refused with what to do") {
    CHECK_THAT(test::input_error_text([] { solver_with(0.9); }),
               Catch::Contains("invented.yaml: interactions: for CIE 170-1:2006") &&
                   Catch::Contains("too strong; use another screen, or another picture mode of this one"));
}
