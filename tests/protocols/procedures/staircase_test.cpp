#include "protocols/procedures/staircase.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>
#include <set>
#include <string>

#include "base/psychometric_function.h"
#include "support/error_text.h"
#include "support/protocols/simulated_answers.h"
#include "support/published_table.h"
#include "support/tolerances.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

StaircaseSpec plain(int down, int up, double step_down, double step_up) {
    StaircaseSpec spec;
    spec.tracks = {{10.0, 0.0, 20.0}};
    spec.down = down;
    spec.up = up;
    spec.step_down = {step_down};
    spec.step_up = {step_up};
    spec.trials = 1000;
    return spec;
}

// Levels asked for, in hand-worked order: '+' is a success, '-' a failure.
std::vector<double> levels_after(const StaircaseSpec& spec, const std::string& answers) {
    StaircaseState state = start(spec, 1);
    std::vector<double> levels;
    for (const char answer : answers) {
        levels.push_back(next_trial(spec, state)->level.front());
        state = respond(spec, state, answer == '+');
    }
    if (const auto last = next_trial(spec, state))
        levels.push_back(last->level.front());
    return levels;
}

StaircaseState state_after(const StaircaseSpec& spec, const std::string& answers) {
    StaircaseState state = start(spec, 1);
    for (const char answer : answers)
        state = respond(spec, state, answer == '+');
    return state;
}

using Levels = std::vector<double>;

struct Means {
    double mean = 0.0;
    double standard_error = 0.0;
};

// Mean over runs of the estimate, for an observer with a psychometric function.
Means simulate(const StaircaseSpec& spec, const PsychometricFunction& observer, int runs,
               std::uint64_t seed) {
    double sum = 0.0;
    double squares = 0.0;
    SimulatedAnswers answers{seed};
    for (int run = 0; run < runs; ++run) {
        StaircaseState state = start(spec, static_cast<std::uint64_t>(run));
        while (const auto request = next_trial(spec, state)) {
            const bool success = answers.succeed(success_probability(observer, request->level.front()));
            state = respond(spec, std::move(state), success);
        }
        const double estimate = *result(spec, state).tracks.front().estimate;
        sum += estimate;
        squares += estimate * estimate;
    }
    const double mean = sum / runs;
    return {mean, std::sqrt((squares / runs - mean * mean) / runs)};
}

const PsychometricFunction kLogistic{PsychometricForm::logistic, 0.0, 1.0, 0.0, 0.0};

}  // namespace

TEST_CASE("each rule moves as it says, worked by hand") {
    CHECK(levels_after(plain(1, 1, 1.0, 1.0), "++--+") == Levels{10, 9, 8, 9, 10, 9});
    CHECK(levels_after(plain(2, 1, 1.0, 1.0), "++++-+-++") == Levels{10, 10, 9, 9, 8, 9, 9, 10, 10, 9});
    CHECK(levels_after(plain(3, 1, 1.0, 2.0), "+++++-+++") == Levels{10, 10, 10, 9, 9, 9, 11, 11, 11, 10});
    // One down, two up: a success between two failures starts their row afresh, and moves down by itself.
    CHECK(levels_after(plain(1, 2, 1.0, 1.0), "-+--+-") == Levels{10, 10, 9, 9, 10, 9, 9});
    // Two down, two up.
    CHECK(levels_after(plain(2, 2, 1.0, 1.0), "+-+-++--") == Levels{10, 10, 10, 10, 10, 10, 9, 9, 10});
    // Weighted for 75 %: three times as far up as down.
    CHECK(levels_after(plain(1, 1, 0.5, weighted_step_up(0.5, 0.75)), "++-+") ==
          Levels{10, 9.5, 9, 10.5, 10});
}

TEST_CASE("a reversal is the level whose answer turns the direction") {
    const StaircaseSpec spec = plain(1, 1, 1.0, 1.0);
    // 10 9 8 | up 9 10 | down 9 | up 10
    CHECK(state_after(spec, "++--+-").tracks[0].reversals == Levels{8, 10, 9});
    // The first move turns nothing, in either direction.
    CHECK(state_after(spec, "---").tracks[0].reversals.empty());
}

TEST_CASE("steps shrink with reversals, the turning step first") {
    StaircaseSpec spec = plain(1, 1, 1.0, 1.0);
    spec.step_down = {4.0, 2.0, 1.0};
    spec.step_up = {4.0, 2.0, 1.0};
    CHECK(levels_after(spec, "+-+-+-") == Levels{10, 6, 8, 7, 8, 7, 8});
}

TEST_CASE("on a log10 scale steps are ratios") {
    StaircaseSpec spec = plain(1, 1, std::log10(2.0), std::log10(2.0));
    spec.scale = StepScale::log10;
    spec.tracks = {{8.0, 1.0, 64.0}};
    const Levels levels = levels_after(spec, "++-++");
    const Levels wanted{8, 4, 2, 4, 2, 1};
    REQUIRE(levels.size() == wanted.size());
    for (std::size_t i = 0; i < levels.size(); ++i)
        CHECK(levels[i] == Approx(wanted[i]).epsilon(1e-14));
    // Up and down by one step size ends at the very same level.
    CHECK(levels[3] == levels[1]);
    spec.trials = 6;
    // Turns at 2 and 4 and 1, of which 2 is dropped to leave a pair.
    const StaircaseResult::Track track = result(spec, state_after(spec, "++-++-")).tracks[0];
    CHECK(track.used_reversals == 2);
    CHECK(*track.estimate == Approx(2.0).epsilon(1e-14));  // the geometric mean of 4 and 1
}

TEST_CASE("a limit is kept and counted, and only a step beyond it") {
    StaircaseSpec spec = plain(1, 1, 4.0, 4.0);
    CHECK(levels_after(spec, "++++-") == Levels{10, 6, 2, 0, 0, 4});
    CHECK(state_after(spec, "++").tracks[0].limited_steps == 0);
    CHECK(state_after(spec, "+++").tracks[0].limited_steps == 1);   // cut short
    CHECK(state_after(spec, "++++").tracks[0].limited_steps == 2);  // not taken
    // Ten steps of 0.1 from 1 end at 0 by rounding only; that is no step beyond.
    spec = plain(1, 1, 0.1, 0.1);
    spec.tracks = {{1.0, 0.0, 2.0}};
    const StaircaseState at_limit = state_after(spec, "++++++++++");
    CHECK(at_limit.tracks[0].level == 0.0);
    CHECK(at_limit.tracks[0].limited_steps == 0);
}

TEST_CASE("a track ends by reversals or trials, whichever comes first") {
    StaircaseSpec spec = plain(1, 1, 1.0, 1.0);
    spec.reversals = 2;
    spec.trials = 5;
    CHECK_FALSE(state_after(spec, "++-").finished);
    CHECK(state_after(spec, "++-+").finished);
    CHECK(state_after(spec, "+++++").finished);
    CHECK_FALSE(next_trial(spec, state_after(spec, "+++++")).has_value());
    CHECK_THROWS_AS(respond(spec, state_after(spec, "+++++"), true), std::logic_error);
}

TEST_CASE("the estimate is the mean of an even count of reversals after the discarded ones") {
    StaircaseSpec spec = plain(1, 1, 1.0, 1.0);
    spec.discard = 1;
    // Reversals 8, 10, 9, 10, 9: one discarded leaves four.
    StaircaseResult::Track track = result(spec, state_after(spec, "++--+-+-")).tracks[0];
    CHECK(track.reversals == Levels{8, 10, 9, 10, 9});
    CHECK(track.used_reversals == 4);
    CHECK(*track.estimate == 9.5);
    // Reversals 8, 10, 9, 10: three are left, of which the last two pair up.
    track = result(spec, state_after(spec, "++--+-+")).tracks[0];
    CHECK(track.used_reversals == 2);
    CHECK(*track.estimate == 9.5);
    CHECK_FALSE(result(spec, state_after(spec, "++--")).tracks[0].estimate.has_value());
}

TEST_CASE("tracks interleave in rounds, in an order of the seed, each by its own answers") {
    StaircaseSpec spec = plain(1, 1, 1.0, 1.0);
    spec.tracks = {{10.0, 0.0, 20.0}, {15.0, 0.0, 20.0}, {5.0, 0.0, 20.0}};
    spec.trials = 40;
    std::vector<int> firsts(3, 0);
    for (std::uint64_t seed = 0; seed < 40; ++seed) {
        StaircaseState state = start(spec, seed);
        for (int round = 0; round < 40; ++round) {
            std::set<int> in_round;
            for (int turn = 0; turn < 3; ++turn) {
                const auto request = next_trial(spec, state);
                in_round.insert(request->track);
                if (turn == 0)
                    ++firsts[static_cast<std::size_t>(request->track)];
                state = respond(spec, state, request->track != 1);  // the second track fails throughout
            }
            CHECK(in_round.size() == 3);
        }
        CHECK(state.finished);
        CHECK(state.tracks[0].level == 0.0);
        CHECK(state.tracks[1].level == 20.0);
    }
    // 1600 rounds: each track is first in 533 of them, SD 18.9; five SD fail falsely once in a million.
    for (const int count : firsts)
        CHECK(std::abs(count - 533) < 95);
}

// Transformed rules with equal steps: 0.5^(1/n). Weighted rule. (Common practice, no source.) Unequal steps:
// Garcia-Perez 1998, Vision Research 38, 1861; his ratio taken as step down / step up.
TEST_CASE("stated convergence levels are the published ones") {
    CHECK(convergence_level(1, 1, 1.0, 1.0) == Approx(0.5).epsilon(test::kRoundingOfDoubles));
    CHECK(convergence_level(2, 1, 1.0, 1.0) == Approx(0.7071).margin(5e-5));
    CHECK(convergence_level(3, 1, 1.0, 1.0) == Approx(0.7937).margin(5e-5));
    CHECK(convergence_level(4, 1, 1.0, 1.0) == Approx(0.8409).margin(5e-5));
    CHECK(convergence_level(1, 1, 0.2845, 1.0) == Approx(0.7785).margin(5e-5));
    CHECK(convergence_level(2, 1, 0.5488, 1.0) == Approx(0.8035).margin(5e-5));
    CHECK(convergence_level(3, 1, 0.7393, 1.0) == Approx(0.8315).margin(5e-5));
    CHECK(convergence_level(4, 1, 0.8415, 1.0) == Approx(0.8584).margin(5e-5));
    for (const double p : {0.7, 0.75, 0.8, 0.9})
        CHECK(convergence_level(1, 1, 0.3, weighted_step_up(0.3, p)) == Approx(p).epsilon(1e-14));
    // One down, n up mirrors n down, one up; equal rows balance at a half.
    CHECK(convergence_level(1, 3, 1.0, 1.0) == Approx(1.0 - std::pow(0.5, 1.0 / 3.0)).epsilon(1e-12));
    CHECK(convergence_level(2, 2, 1.0, 1.0) == Approx(0.5).epsilon(1e-12));
    CHECK(convergence_level(3, 2, 0.4, 1.0) ==
          Approx(1.0 - convergence_level(2, 3, 1.0, 0.4)).epsilon(1e-12));
}

// O8, computed for this project by an independent program: exact expectations by a Markov chain. A false
// alarm of one of six at 4 standard errors has a probability of 4e-4, and the seed is fixed.
TEST_CASE("simulated staircases average to the exact finite-run values") {
    const auto cases = published_json("O8_staircase_convergence.json")["cases"];
    REQUIRE(cases.size() == 6);
    for (const auto& data : cases) {
        INFO(data["name"].get<std::string>());
        StaircaseSpec spec;
        spec.tracks = {{data["start_level"].get<double>(), -20.0, 20.0}};
        const std::string rule = data["rule"].get<std::string>();
        spec.down = std::stoi(rule.substr(rule.rfind("up-") + 3));
        spec.step_down = {data["step_down"].get<double>()};
        spec.step_up = {data["step_up"].get<double>()};
        spec.reversals = data["monte_carlo"]["reversals_per_run"].get<int>();
        spec.discard = data["monte_carlo"]["discarded"].get<int>();
        CHECK(convergence_level(spec) == Approx(data["target_proportion"].get<double>()).epsilon(1e-12));
        const Means simulated = simulate(spec, kLogistic, 2000, 17);
        const double exact = data["exact_expectation_of_the_finite_run_mean"].get<double>();
        CHECK(std::abs(simulated.mean - exact) < 4.0 * simulated.standard_error);
        CHECK(simulated.standard_error < 0.01);
    }
}

// Garcia-Perez 1998, as above: the mean of reversals lies at the stated share of successes. Steps are small
// beside the psychometric function's spread, so that its curvature within a step moves the mean by less than
// 0.1 %.
TEST_CASE("simulated staircases with unequal steps come to the published levels") {
    constexpr double kCurvature = 0.001;
    const double ratios[] = {0.2845, 0.5488, 0.7393, 0.8415};
    const double wanted[] = {0.7785, 0.8035, 0.8315, 0.8584};
    for (int down = 1; down <= 4; ++down) {
        const double ratio = ratios[down - 1];
        const double target = wanted[down - 1];
        StaircaseSpec spec = plain(down, 1, 0.1 * ratio, 0.1);
        const double target_level = std::log(target / (1.0 - target));  // the logistic's inverse
        spec.tracks = {{target_level, -20.0, 20.0}};
        spec.reversals = 120;
        spec.discard = 20;
        const Means simulated = simulate(spec, kLogistic, 1000, 23);
        const double reached = success_probability(kLogistic, simulated.mean);
        const double standard_error = target * (1.0 - target) * simulated.standard_error;
        INFO(down << " down: " << reached << ", standard error " << standard_error);
        CHECK(std::abs(reached - target) < kCurvature + 4.0 * standard_error);
        CHECK(standard_error < 0.001);
    }
}

TEST_CASE("all faults of a staircase are told together") {
    CHECK(input_error_text([] { return start(StaircaseSpec{}, 1); }).find("tracks: there is no track") == 0);
    StaircaseSpec spec = plain(0, 1, 1.0, 1.0);
    spec.tracks = {{30.0, 0.0, 20.0}, {1.0, 2.0, 2.0}};
    spec.scale = StepScale::log10;
    spec.step_up = {1.0, -1.0};
    spec.trials.reset();
    spec.discard = -1;
    CHECK(input_error_text([&] { return start(spec, 1); }) ==
          "tracks[0].start: 30 is outside 0 to 20; start between the limits\n"
          "tracks[0].lowest: 0 has no logarithm; write a number above 0, or a linear scale\n"
          "tracks[1].lowest: no room from 2 to 2; write two numbers, the lowest below the highest\n"
          "tracks[1].start: 1 is outside 2 to 2; start between the limits\n"
          "down: 0 successes in a row; write at least 1\n"
          "step_up: -1 is no step; write numbers above 0\n"
          "step_up: 2 steps up, 1 down; write equally many, since they shrink together\n"
          "reversals: nothing ends the staircase; write reversals, trials or both\n"
          "discard: -1 discarded reversals; write 0 or more");
    spec = plain(1, 1, 1.0, 1.0);
    spec.reversals = 4;
    spec.discard = 3;
    CHECK(input_error_text([&] { return start(spec, 1); }) ==
          "discard: 3 of 4 reversals are discarded, which leaves no pair for the estimate; discard fewer or "
          "wait for more reversals");
    spec = plain(1, 1, std::numeric_limits<double>::quiet_NaN(), 1.0);
    spec.tracks[0].start = std::numeric_limits<double>::quiet_NaN();
    CHECK(faults(spec).size() == 2);
}
