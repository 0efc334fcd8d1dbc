#include "calibration/interaction_model.h"

#include <Eigen/LU>
#include <catch2/catch.hpp>
#include <cmath>

#include "base/random.h"
#include "support/invented_display.h"

using namespace isoseam;

namespace {

// In linear light.
constexpr double kRoundTrip = 1e-7;

Observer observer() {
    return Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
}

}  // namespace

TEST_CASE("interactions add their product's share to spectrum, excitations and tristimulus values alike") {
    const DisplayModel display(test::interacting_calibration(0.1));
    CHECK_FALSE(display.additive());
    const LinearDrive linear{Eigen::Vector3d(0.5, 0.25, 1.0)};
    const Calibration& calibration = display.calibration();
    double expected = calibration.black.at_nm(535.0);
    for (int i = 0; i < 3; ++i)
        expected +=
            linear.fractions[i] * calibration.primaries[static_cast<std::size_t>(i)].spectrum.at_nm(535.0);
    const double products[] = {0.125, 0.5, 0.25, 0.125};
    for (std::size_t k = 0; k < 4; ++k)
        expected += products[k] * calibration.interactions[k].spectrum.at_nm(535.0);
    const Spectrum spectrum = display.spectrum(linear);
    CHECK(spectrum.at_nm(535.0) == Approx(expected).epsilon(1e-12));
    CHECK((display.xyz(linear).vector() - tristimulus(spectrum).vector()).norm() < 1e-9);
    CHECK((display.lms(linear, observer()).vector() - observer().excitations(spectrum).vector()).norm() <
          1e-12);
}

TEST_CASE("slopes of the products are their differences") {
    const Calibration calibration = test::interacting_calibration(0.1);
    const Eigen::Vector3d at(0.3, 0.6, 0.9);
    const Eigen::MatrixXd slopes = interaction_slopes(calibration.interactions, at);
    for (int i = 0; i < 3; ++i) {
        const Eigen::VectorXd difference =
            interaction_products(calibration.interactions, at + 1e-6 * Eigen::Vector3d::Unit(i)) -
            interaction_products(calibration.interactions, at - 1e-6 * Eigen::Vector3d::Unit(i));
        CHECK((slopes.col(i) - difference / 2e-6).norm() < 1e-9);
    }
}

TEST_CASE("the inverse of a screen with interactions is exact wherever its proof holds") {
    const RandomStream random{6, 906};
    std::uint64_t draw = 0;
    for (const double share : {0.0, 0.03, 0.1, 0.25}) {
        CAPTURE(share);
        const DisplayModel display(test::interacting_calibration(share));
        const InteractionInverse inverse = InteractionInverse::of_lms(display, observer());
        REQUIRE(inverse.converges());
        for (int i = 0; i < 200; ++i) {
            Eigen::Vector3d linear;
            for (double& value : linear)
                value =
                    i < 8 ? static_cast<double>((i >> (&value - linear.data())) & 1) : random.uniform(draw++);
            const auto found = inverse.linear_from_response(display.lms({linear}, observer()).vector());
            REQUIRE(found);
            CHECK((inverse.response(linear) - display.lms({linear}, observer()).vector()).norm() < 1e-12);
            CHECK((found->fractions - linear).cwiseAbs().maxCoeff() <= kRoundTrip);
            const InteractionInverse of_xyz = InteractionInverse::of_xyz(display);
            const auto by_xyz = of_xyz.linear_from_response(display.xyz({linear}).vector());
            REQUIRE(by_xyz);
            CHECK((by_xyz->fractions - linear).cwiseAbs().maxCoeff() <= kRoundTrip);
        }
    }
}

TEST_CASE("what no drive gives has no inverse") {
    const DisplayModel display(test::interacting_calibration(0.1));
    const InteractionInverse inverse = InteractionInverse::of_lms(display, observer());
    const Lms white = display.lms({Eigen::Vector3d::Ones()}, observer());
    CHECK_FALSE(inverse.linear_from_response(1.01 * white.vector()));
    CHECK_FALSE(inverse.linear_from_response({0.0, white.m, 0.0}));
    CHECK_FALSE(inverse.linear_from_response({NAN, white.m, 0.0}));
}

TEST_CASE(
    "no step brings two points nearer by less than the contraction, and strong interactions have no proof") {
    const DisplayModel display(test::interacting_calibration(0.2));
    const InteractionInverse inverse = InteractionInverse::of_lms(display, observer());
    const auto lms = [&](const Eigen::Vector3d& linear) {
        return display.lms({linear}, observer()).vector();
    };
    Eigen::Matrix3d chord;
    for (int i = 0; i < 3; ++i) {
        const Eigen::Vector3d half = Eigen::Vector3d::Constant(0.5);
        const Eigen::Vector3d step = 1e-3 * Eigen::Vector3d::Unit(i);
        chord.col(i) = (lms(half + step) - lms(half - step)) / 2e-3;  // exact: quadratic in each alone
    }
    const RandomStream random{7, 907};
    double worst = 0.0;
    for (std::uint64_t i = 0; i < 2000; ++i) {
        // Corners and near them, where steps are worst.
        Eigen::Vector3d a, b;
        for (std::uint64_t k = 0; k < 3; ++k) {
            const double corner = static_cast<double>((i >> k) & 1);
            a[static_cast<Eigen::Index>(k)] = std::abs(corner - 0.01 * random.uniform(6 * i + k));
            b[static_cast<Eigen::Index>(k)] = std::abs(corner - 0.01 * random.uniform(6 * i + 3 + k));
        }
        const Eigen::Vector3d after = (a - b) - chord.inverse() * (lms(a) - lms(b));
        worst = std::max(worst, after.cwiseAbs().maxCoeff() / (a - b).cwiseAbs().maxCoeff());
    }
    CHECK(worst <= inverse.contraction());
    CHECK(worst >= 0.8 * inverse.contraction());
    CHECK(InteractionInverse::of_lms(DisplayModel(test::interacting_calibration(0.0)), observer())
              .contraction() == Approx(0.0).margin(1e-12));
    CHECK_FALSE(
        InteractionInverse::of_lms(DisplayModel(test::interacting_calibration(0.9)), observer()).converges());
}
