#include "protocols/procedures/adjustment.h"

#include <fmt/format.h>
#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>

#include "colorimetry/colour_space.h"
#include "protocols/language/axes.h"
#include "support/error_text.h"
#include "support/invented_display.h"
#include "support/tolerances.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

const std::vector<double> kThreePeaksNm{620.0, 535.0, 455.0};
const std::vector<double> kFivePeaksNm{640.0, 580.0, 525.0, 490.0, 450.0};

AdjustmentAxis axis(AdjustmentSpace space, const std::string& name, double step, double start,
                    Eigen::Index size = 3) {
    Eigen::VectorXd direction = Eigen::VectorXd::Zero(size);
    const Eigen::VectorXd named = axis_direction(space, name);
    direction.head(named.size()) = named;
    return {name, direction, step, 3.5 * step, start};
}

// A solver and problems on it.
struct Bench {
    explicit Bench(const std::vector<double>& peaks_nm = kThreePeaksNm)
        : solver(invented_display(peaks_nm), Observer({})) {}

    AdjustmentProblem problem(AdjustmentSpace space, double start_scale = 1.0) const {
        const Eigen::Index count = solver.display().primary_count();
        AdjustmentProblem made;
        made.solver = &solver;
        made.space = space;
        made.predicted = solver.lms({Eigen::VectorXd::LinSpaced(count, 0.3, 0.6)});
        switch (space) {
            case AdjustmentSpace::cone_contrast:
                made.axes = {axis(space, "L-M", 0.01, 0.05 * start_scale),
                             axis(space, "L+M", 0.05, 0.3 * start_scale),
                             axis(space, "S", 0.1, 0.6 * start_scale)};
                break;
            case AdjustmentSpace::macleod_boynton:
                made.axes = {axis(space, "l", 0.004, 0.02 * start_scale),
                             axis(space, "s", 0.2, 1.0 * start_scale),
                             axis(space, "luminance", 0.06, 0.4 * start_scale)};
                break;
            case AdjustmentSpace::primaries:
                made.axes = {axis(space, "primary 1", 0.05, 0.3 * start_scale, count),
                             axis(space, "primary 3", 0.04, 0.3 * start_scale, count)};
                break;
        }
        return made;
    }
    DriveSolver solver;
};

constexpr AdjustmentSpace kSpaces[] = {AdjustmentSpace::cone_contrast, AdjustmentSpace::macleod_boynton,
                                       AdjustmentSpace::primaries};
const RandomStream kStarts{5, kStreamStartingPoints};

AdjustmentResponse random_response(const RandomStream& random, std::uint64_t index, std::size_t axes) {
    AdjustmentResponse response;
    response.axis = static_cast<int>(random.below(4 * index, axes));
    response.direction = random.below(4 * index + 1, 2) == 0 ? 1 : -1;
    response.coarse = random.below(4 * index + 2, 2) == 0;
    return response;
}

}  // namespace

TEST_CASE("any walk stays in gamut, and every key press is either a step or a refusal") {
    for (const auto& peaks_nm : {kThreePeaksNm, kFivePeaksNm}) {
        const Bench bench(peaks_nm);
        for (const AdjustmentSpace space : kSpaces) {
            INFO(to_string(space) << " with " << peaks_nm.size() << " primaries");
            const AdjustmentProblem problem = bench.problem(space);
            int refused = 0;
            for (int trial = 1; trial <= 10; ++trial) {
                const RandomStream random{static_cast<std::uint64_t>(trial), 77};
                AdjustmentState state = start_adjustment(problem, kStarts, trial);
                std::vector<double> path(problem.axes.size(), 0.0);
                for (std::uint64_t i = 0; i < 200; ++i) {
                    const AdjustmentResponse response = random_response(random, i, problem.axes.size());
                    const Eigen::VectorXd before = state.position;
                    state = respond(problem, state, response);
                    REQUIRE(stimulus_at(problem, state.position).in_gamut);
                    const double moved = std::abs(state.position[response.axis] - before[response.axis]);
                    path[static_cast<std::size_t>(response.axis)] += moved;
                }
                int presses = state.steps;
                for (std::size_t i = 0; i < path.size(); ++i) {
                    presses += state.refused_steps[i];
                    refused += state.refused_steps[i];
                    CHECK(state.path_length[i] == Approx(path[i]).epsilon(1e-9));
                }
                CHECK(presses == 200);
            }
            CHECK(refused > 0);  // the walks reach the border, or the test shows nothing
        }
    }
}

TEST_CASE("steps there and back, in any order, end at the very same position") {
    const Bench bench;
    const AdjustmentProblem problem = bench.problem(AdjustmentSpace::cone_contrast, 0.1);
    const AdjustmentState start = start_adjustment(problem, kStarts, 3);
    AdjustmentState state = start;
    const auto step = [&](int axis_index, int direction, bool coarse) {
        state = respond(problem, state, {AdjustmentResponse::Kind::step, axis_index, direction, coarse});
    };
    for (int round = 0; round < 50; ++round) {
        step(0, 1, false);
        step(2, -1, true);
        step(0, 1, true);
        step(0, -1, false);
        step(2, 1, true);
        step(0, -1, true);
    }
    CHECK(state.steps == 300);
    CHECK(state.position == start.position);
    CHECK(state.start == start.start);
}

TEST_CASE("a step moves the light by exactly what its axis says") {
    const Bench bench;
    const Eigen::Vector3d position(0.02, -0.05, 0.2);
    const AdjustmentProblem cones = bench.problem(AdjustmentSpace::cone_contrast);
    const ConeContrast contrast = cone_contrast(lms_at(cones, position), cones.predicted);
    CHECK(contrast.l == Approx(0.02 - 0.05).margin(1e-12));
    CHECK(contrast.m == Approx(-0.02 - 0.05).margin(1e-12));
    CHECK(contrast.s == Approx(0.2).margin(1e-12));

    const AdjustmentProblem boynton = bench.problem(AdjustmentSpace::macleod_boynton);
    const Observer& observer = bench.solver.observer();
    const MacLeodBoynton at =
        macleod_boynton_from_lms(lms_at(boynton, Eigen::Vector3d(0.01, -0.1, 0.25)), observer);
    const MacLeodBoynton predicted = macleod_boynton_from_lms(boynton.predicted, observer);
    CHECK(at.l - predicted.l == Approx(0.01).margin(1e-12));
    CHECK(at.s - predicted.s == Approx(-0.1).margin(1e-12));
    CHECK(at.luminance_cd_m2 / predicted.luminance_cd_m2 == Approx(1.25).epsilon(1e-12));

    const AdjustmentProblem primaries = bench.problem(AdjustmentSpace::primaries);
    const Eigen::VectorXd drive = stimulus_at(primaries, Eigen::Vector2d(0.1, -0.2)).linear.fractions;
    CHECK(drive.isApprox(Eigen::Vector3d(0.4, 0.45, 0.4), 1e-12));
}

TEST_CASE("positions of no or negative luminance are out of gamut, not an error") {
    const Bench bench;
    const AdjustmentProblem problem = bench.problem(AdjustmentSpace::macleod_boynton);
    CHECK_FALSE(stimulus_at(problem, Eigen::Vector3d(0.0, 0.0, -1.0)).in_gamut);
    CHECK_FALSE(stimulus_at(problem, Eigen::Vector3d(0.0, 0.0, -2.0)).in_gamut);
}

TEST_CASE("a refused step changes nothing but its count") {
    const Bench bench;
    AdjustmentProblem problem = bench.problem(AdjustmentSpace::primaries);
    problem.axes[1].coarse = 2.0;  // beyond the gamut from anywhere
    const AdjustmentState before = start_adjustment(problem, kStarts, 1);
    const AdjustmentState after = respond(problem, before, {AdjustmentResponse::Kind::step, 1, 1, true});
    CHECK(after.position == before.position);
    CHECK(after.steps == 0);
    CHECK(after.path_length == before.path_length);
    CHECK(after.refused_steps == std::vector<int>{0, 1});
}

TEST_CASE("after acceptance nothing moves") {
    const Bench bench;
    const AdjustmentProblem problem = bench.problem(AdjustmentSpace::cone_contrast);
    AdjustmentState state =
        respond(problem, start_adjustment(problem, kStarts, 1), {AdjustmentResponse::Kind::accept});
    CHECK(state.accepted);
    const Eigen::VectorXd accepted_at = state.position;
    state = respond(problem, state, {AdjustmentResponse::Kind::step, 0, 1, false});
    CHECK(state.position == accepted_at);
    CHECK(state.steps == 0);
}

TEST_CASE("a starting point depends on seed and trial alone") {
    const Bench bench;
    const AdjustmentProblem problem = bench.problem(AdjustmentSpace::cone_contrast);
    const Eigen::VectorXd alone = start_adjustment(problem, kStarts, 9).start;
    for (int trial = 1; trial < 9; ++trial)
        CHECK(start_adjustment(problem, kStarts, trial).start != alone);
    CHECK(start_adjustment(problem, kStarts, 9).start == alone);
    CHECK(start_adjustment(problem, {6, kStreamStartingPoints}, 9).start != alone);
}

TEST_CASE("starting points are uniform within each axis's range and independent between axes") {
    const Bench bench;
    const AdjustmentProblem problem = bench.problem(AdjustmentSpace::cone_contrast, 0.5);
    constexpr int kDraws = 4000;
    constexpr int kBins = 16;
    constexpr double kExpected = 250.0;  // per bin
    // Three axes, and 4 x 4 of the first two.
    std::vector<std::vector<int>> bins(4, std::vector<int>(kBins, 0));
    for (int trial = 1; trial <= kDraws; ++trial) {
        const AdjustmentState state = start_adjustment(problem, kStarts, trial);
        REQUIRE(state.start_shrunk_to == 1.0);
        std::vector<double> share;
        for (std::size_t i = 0; i < 3; ++i) {
            share.push_back((state.start[static_cast<Eigen::Index>(i)] / problem.axes[i].start + 1.0) / 2.0);
            REQUIRE(share[i] >= 0.0);
            REQUIRE(share[i] <= 1.0);
            ++bins[i][static_cast<std::size_t>(std::min(share[i] * kBins, kBins - 1.0))];
        }
        const auto row = static_cast<std::size_t>(share[0] * 4);
        const auto column = static_cast<std::size_t>(share[1] * 4);
        ++bins[3][4 * row + column];
    }
    // Chi-square with 15 degrees of freedom exceeds 52 with a chance of 6e-6; four tests, so 2e-5 in all.
    for (const std::vector<int>& counts : bins) {
        double chi_square = 0.0;
        for (const int count : counts)
            chi_square += std::pow(count - kExpected, 2) / kExpected;
        CHECK(chi_square < 52.0);
    }
}

TEST_CASE("a start out of gamut is moved straight towards the match, to 99 % of the way to the border") {
    const Bench bench;
    for (const AdjustmentSpace space : {AdjustmentSpace::cone_contrast, AdjustmentSpace::primaries}) {
        const AdjustmentProblem problem = bench.problem(space, 10.0);
        int moved = 0;
        for (int trial = 1; trial <= 100; ++trial) {
            const AdjustmentState state = start_adjustment(problem, kStarts, trial);
            REQUIRE(stimulus_at(problem, state.start).in_gamut);
            if (state.start_shrunk_to == 1.0)
                continue;
            ++moved;
            CHECK(state.start_shrunk_to < 1.0);
            for (std::size_t i = 0; i < problem.axes.size(); ++i) {
                const double drawn =
                    (2.0 * kStarts.uniform(static_cast<std::uint64_t>(trial) * 16 + i) - 1.0) *
                    problem.axes[i].start;
                CHECK(state.start[static_cast<Eigen::Index>(i)] ==
                      Approx(state.start_shrunk_to * drawn).epsilon(test::kRoundingOfDoubles));
            }
            constexpr double kBeside = 1e-9;
            CHECK(stimulus_at(problem, state.start / 0.99 * (1.0 - kBeside)).in_gamut);
            CHECK_FALSE(stimulus_at(problem, state.start / 0.99 * (1.0 + kBeside)).in_gamut);
        }
        CHECK(moved > 50);
    }
}

// Golden: a change here changes the starting points of every session that is resumed or replayed.
TEST_CASE("the starting points of seed 5") {
    const Bench bench;
    const AdjustmentProblem problem = bench.problem(AdjustmentSpace::primaries);
    std::string told;
    for (const int trial : {1, 2, 1000}) {
        const AdjustmentState state = start_adjustment(problem, kStarts, trial);
        told += fmt::format("{:.6f} {:.6f} {}; ", state.start[0], state.start[1], state.start_shrunk_to);
    }
    CHECK(told == "-0.015854 -0.119318 1; 0.185719 0.299402 1; -0.201087 -0.193471 1; ");
}

TEST_CASE("a match that the adjusted half cannot show is told before the trial starts") {
    const Bench bench;
    AdjustmentProblem problem = bench.problem(AdjustmentSpace::cone_contrast);
    problem.predicted = bench.solver.lms({Eigen::Vector3d(0.5, 1.25, 0.5)});
    CHECK(input_error_text([&] { start_adjustment(problem, kStarts, 1); }) ==
          "reference: the predicted match is out of the adjusted half's gamut by 0.25 of a primary's full "
          "light; choose a "
          "reference that both halves can show");
}

TEST_CASE("an axis that the problem has not is a programmer's fault") {
    const Bench bench;
    const AdjustmentProblem problem = bench.problem(AdjustmentSpace::primaries);
    const AdjustmentState state = start_adjustment(problem, kStarts, 1);
    CHECK_THROWS_AS(respond(problem, state, {AdjustmentResponse::Kind::step, 2, 1, false}), std::logic_error);
    CHECK_THROWS_AS(respond(problem, state, {AdjustmentResponse::Kind::step, 0, 2, false}), std::logic_error);
}
