#include "colorimetry/colour_match.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "base/random.h"
#include "colorimetry/eye_types.h"
#include "support/error_text.h"
#include "support/published_table.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

// Solving by a condition number of a few hundred loses three of the 16 digits.
constexpr double kRounding = 1e-12;

// The CIE's 10 degree observer is a linear transform of the functions of 1959. What is left (measured: 0.04,
// 0.27 and 0.21 % of the three peaks): the second function as printed passes through about 1.003 at its own
// primary, where a match gives 1 by definition, and S leaves the transform from 510 nm on, with a step of
// 0.0025.
constexpr double kLinearTransform = 0.003;
// The 2 degree observer is derived from the 10 degree one and not from the functions of 1955, whose observers
// were others (measured: 2.2, 5.2 and 7.4 % of the peaks).
constexpr double kOtherObservers = 0.08;

const std::array<double, 3> kStilesBurchNm = {645.16, 526.32, 444.44};

Lms line(const Observer& observer, double nm) {
    return observer.excitations(Spectrum::from_line(nm, 1.0));
}

std::array<Lms, 3> lines(const Observer& observer, const std::array<double, 3>& nm) {
    return {line(observer, nm[0]), line(observer, nm[1]), line(observer, nm[2])};
}

Eigen::Vector3d mixed(const std::array<Lms, 3>& lights, const Eigen::Vector3d& amounts) {
    return amounts[0] * lights[0].vector() + amounts[1] * lights[1].vector() +
           amounts[2] * lights[2].vector();
}

// The largest difference from measured colour-matching functions, as a share of each function's peak.
Eigen::Vector3d largest_difference(double field_deg, const std::string& table) {
    const Observer observer = Observer::cie170(Degrees::from_degrees(field_deg), Years::from_years(32.0));
    const std::array<Lms, 3> primaries = lines(observer, kStilesBurchNm);
    Eigen::Vector3d largest = Eigen::Vector3d::Zero();
    Eigen::Vector3d peak = Eigen::Vector3d::Zero();
    for (const std::vector<double>& row : published_table(table)) {
        const ColourMatch match = colour_match(primaries, line(observer, row[0]), observer);
        REQUIRE(match.mixtures.size() == 1);
        const Eigen::Vector3d measured{row[1], row[2], row[3]};
        largest = largest.cwiseMax((match.mixtures[0] - measured).cwiseAbs());
        peak = peak.cwiseMax(measured);
    }
    return largest.cwiseQuotient(peak);
}

}  // namespace

TEST_CASE("matches with the primaries of Stiles and Burch are the colour-matching functions they measured") {
    const Eigen::Vector3d ten = largest_difference(10.0, "stiles_burch_1959_rgb_10deg.csv");
    const Eigen::Vector3d two = largest_difference(2.0, "stiles_burch_1955_rgb_2deg.csv");
    CAPTURE(ten, two);
    CHECK((ten.array() <= kLinearTransform).all());
    CHECK((two.array() <= kOtherObservers).all());
}

TEST_CASE("a trichromat has one mixture, and it excites the cones as the wanted light does") {
    const Observer observer = Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
    const std::array<Lms, 3> lights = lines(observer, {640.0, 530.0, 450.0});
    const RandomStream random{20, 0};
    for (std::uint64_t draw = 0; draw < 100; ++draw) {
        const double nm = 400.0 + 250.0 * random.uniform(draw);
        const Lms wanted = line(observer, nm);
        const ColourMatch match = colour_match(lights, wanted, observer);
        REQUIRE(match.mixtures.size() == 1);
        CHECK(match.free_changes.cols() == 0);
        CHECK((mixed(lights, match.mixtures[0]) - wanted.vector()).norm() <=
              kRounding * wanted.vector().norm());
    }
    // Common practice, no source: 490 nm lies outside the triangle of such primaries, so one of them must
    // move to its side; a white does not.
    CHECK_FALSE(is_physical(colour_match(lights, line(observer, 490.0), observer).mixtures[0]));
    const Lms white = observer.excitations(Spectrum::equal_energy());
    CHECK(is_physical(colour_match(lights, white, observer).mixtures[0]));
    const ColourMatch itself = colour_match(lights, lights[1], observer);
    CHECK((itself.mixtures[0] - Eigen::Vector3d::UnitY()).norm() <= kRounding);
}

TEST_CASE("a dichromat has a line of mixtures and a monochromat a plane, and each point on it matches") {
    const RandomStream random{21, 0};
    for (const EyeType type : kEyeTypes) {
        CAPTURE(name_of(type));
        const Observer observer(as_type({}, type));
        const std::array<Lms, 3> lights = lines(observer, {610.0, 530.0, 450.0});
        const Lms wanted = observer.excitations(Spectrum::equal_energy());
        const ColourMatch match = colour_match(lights, wanted, observer);
        const int cones = observer.has(Cone::l) + observer.has(Cone::m) + observer.has(Cone::s);
        CHECK(match.free_changes.cols() == 3 - cones);
        CHECK(match.mixtures.size() == (cones == 3 ? 1u : 3u));
        for (const Eigen::Vector3d& mixture : match.mixtures) {
            CHECK((mixture.array() != 0.0).count() <= cones);
            Eigen::Vector3d changed = mixture;
            for (Eigen::Index column = 0; column < match.free_changes.cols(); ++column) {
                changed += random.normal(static_cast<std::uint64_t>(column)) * mixture.cwiseAbs().maxCoeff() *
                           match.free_changes.col(column);
            }
            CHECK((mixed(lights, changed) - wanted.vector()).norm() <=
                  kRounding * changed.cwiseAbs().maxCoeff() * wanted.vector().norm());
        }
    }
}

TEST_CASE(
    "the condition number does not depend on the lights' units and grows as lights come to look alike") {
    const Observer observer = Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
    Eigen::Matrix3d lights;
    lights << line(observer, 640.0).vector(), line(observer, 530.0).vector(), line(observer, 450.0).vector();
    const double before = condition_number(lights);
    lights.col(0) *= 1e6;
    CHECK(condition_number(lights) == Approx(before).epsilon(kRounding));
    CHECK(condition_number(Eigen::Matrix3d::Identity()) == 1.0);
    lights.col(0) = lights.col(1);
    CHECK_FALSE(condition_number(lights) < 1e12);
    lights.col(0).setZero();
    CHECK(std::isinf(condition_number(lights)));
}

TEST_CASE("lights that look too much alike, or give the eye nothing, are errors that say so") {
    const Observer observer = Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
    const Lms wanted = line(observer, 580.0);
    CHECK_THAT(input_error_text([&] {
                   colour_match(lines(observer, {530.0, 530.0001, 450.0}), wanted, observer);
               }),
               Catch::Contains("condition number") && Catch::Contains("limit 10000") &&
                   Catch::Contains("look more different"));
    // Three lights beyond 615 nm, where S is 0: only two kinds of excitation are left.
    CHECK_THAT(input_error_text([&] {
                   colour_match(lines(observer, {620.0, 640.0, 660.0}), wanted, observer);
               }),
               Catch::Contains("condition number"));
    CHECK_THAT(input_error_text([&] {
                   colour_match({Lms{}, line(observer, 530.0), line(observer, 450.0)}, Lms{}, observer);
               }),
               Catch::Contains("first light") && Catch::Contains("wanted light") &&
                   Catch::Contains("gets nothing of it"));
}
