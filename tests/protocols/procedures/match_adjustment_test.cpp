#include "protocols/procedures/match_adjustment.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <set>

#include "support/invented_display.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

struct Bench {
    Bench() : solver(invented_display({620.0, 535.0, 455.0}), Observer({})) {
        spec.problem.solver = &solver;
        spec.problem.axes = {{"L-M", Eigen::Vector3d(1.0, -1.0, 0.0), 0.002, 0.01, 0.02},
                             {"L+M", Eigen::Vector3d(1.0, 1.0, 0.0), 0.01, 0.05, 0.1},
                             {"S", Eigen::Vector3d(0.0, 0.0, 1.0), 0.02, 0.1, 0.2}};
        spec.problem.predicted = solver.lms({Eigen::Vector3d(0.4, 0.5, 0.5)});
    }
    Bench(const Bench&) = delete;
    Bench& operator=(const Bench&) = delete;

    DriveSolver solver;
    MatchAdjustmentSpec spec;
};

}  // namespace

TEST_CASE("an adjustment in the common vocabulary is the adjustment itself") {
    Bench bench;
    bench.spec.trial = 7;
    const RandomStream starts{5, kStreamStartingPoints};
    AdjustmentState plain = start_adjustment(bench.spec.problem, starts, 7);
    AdjustmentState state = start(bench.spec, 5);
    CHECK(state.position == plain.position);
    plain = respond(bench.spec.problem, plain, {AdjustmentResponse::Kind::step, 1, -1, true});
    state = respond(bench.spec, state,
                    {.kind = TrialResponse::Kind::step, .value = -1, .axis = 1, .coarse = true});
    CHECK(state.position == plain.position);
    const TrialRequest request = *next_trial(bench.spec, state);
    CHECK(request.number == 7);
    CHECK(request.form == AnswerForm::adjustment);
    CHECK(request.level == Level(plain.position.begin(), plain.position.end()));
    state = respond(bench.spec, state, {.kind = TrialResponse::Kind::accept});
    CHECK_FALSE(next_trial(bench.spec, state).has_value());
    CHECK(result(bench.spec, state).accepted);
    CHECK_THROWS_AS(respond(bench.spec, start(bench.spec, 5), {.kind = TrialResponse::Kind::yes}),
                    std::logic_error);
}

TEST_CASE("bracketing starts come from every combination of sides once in eight repeats") {
    Bench bench;
    std::set<std::vector<bool>> sides;
    for (int repeat = 1; repeat <= 8; ++repeat) {
        bench.spec.bracket = repeat;
        const AdjustmentState state = start(bench.spec, 3);
        CHECK(state.start_shrunk_to == 1.0);
        std::vector<bool> above;
        for (Eigen::Index i = 0; i < 3; ++i) {
            CHECK(std::abs(state.start[i]) == bench.spec.problem.axes[static_cast<std::size_t>(i)].start);
            above.push_back(state.start[i] > 0.0);
        }
        sides.insert(above);
    }
    CHECK(sides.size() == 8);
    // The first axis changes sides with every repeat; where it begins is drawn.
    int first_above = 0;
    for (std::uint64_t seed = 0; seed < 200; ++seed) {
        bench.spec.bracket = 1;
        const double first = start(bench.spec, seed).start[0];
        bench.spec.bracket = 2;
        CHECK(start(bench.spec, seed).start[0] == -first);
        first_above += first > 0.0 ? 1 : 0;
    }
    CHECK(std::abs(first_above - 100) < 36);  // five SD
}

TEST_CASE("an adjustment beyond its time limit ends without a setting") {
    Bench bench;
    bench.spec.problem.time_limit_s = 20.0;
    const AdjustmentState begun = start(bench.spec, 5);
    const TrialResponse in_time{.kind = TrialResponse::Kind::step, .value = 1, .elapsed_s = 20.0};
    AdjustmentState state = respond(bench.spec, begun, in_time);
    CHECK(state.steps == 1);
    const TrialResponse waiting{.kind = TrialResponse::Kind::waiting, .elapsed_s = 19.0};
    CHECK(respond(bench.spec, state, waiting).steps == 1);
    const AdjustmentState late =
        respond(bench.spec, state, {.kind = TrialResponse::Kind::accept, .elapsed_s = 20.1});
    CHECK(late.timed_out);
    CHECK_FALSE(late.accepted);
    CHECK(late.position == state.position);
    CHECK_FALSE(next_trial(bench.spec, late).has_value());
    CHECK_FALSE(respond(bench.spec, late, {.kind = TrialResponse::Kind::accept}).accepted);
    const double nan = std::numeric_limits<double>::quiet_NaN();
    CHECK_THROWS_AS(respond(bench.spec, state, {.kind = TrialResponse::Kind::waiting, .elapsed_s = nan}),
                    std::logic_error);
}
