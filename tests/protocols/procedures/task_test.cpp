#include "protocols/procedures/task.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "support/error_text.h"
#include "support/protocols/simulated_answers.h"
#include "support/tolerances.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

StaircaseSpec staircase(int trials) {
    StaircaseSpec spec;
    spec.tracks = {{10.0, 0.0, 20.0}};
    spec.step_down = {1.0};
    spec.step_up = {1.0};
    spec.trials = trials;
    return spec;
}

TaskSpec yes_no(int trials) {
    TaskSpec spec;
    spec.question = YesNo{};
    spec.levels = staircase(trials);
    spec.no_target = {0.0};
    return spec;
}

TrialResponse says(bool yes) {
    return {.kind = yes ? TrialResponse::Kind::yes : TrialResponse::Kind::no};
}

// An observer who sees every target and nothing else.
TaskState perfect_run(const TaskSpec& spec, std::uint64_t seed) {
    TaskState state = start(spec, seed);
    while (const auto request = next_trial(spec, state))
        state = respond(spec, std::move(state), says(request->target));
    return state;
}

}  // namespace

TEST_CASE("catch trials have their share, show nothing and drive no level") {
    TaskSpec spec = yes_no(3000);
    spec.catch_trials.share = 0.2;
    const TaskState state = perfect_run(spec, 4);
    const TaskResult found = result(spec, state);
    CHECK(found.phase == TaskPhase::done);
    CHECK(found.measured_trials - found.catch_trials == 3000);
    // One of five trials: of about 3750, SD 24.5; five SD fail falsely once in a million.
    CHECK(std::abs(found.catch_trials - 0.2 * found.measured_trials) < 123);
    for (const AnsweredTrial& trial : state.answered) {
        CHECK(trial.request.catch_trial != trial.request.target);
        if (trial.request.catch_trial)
            CHECK(trial.request.level == Level{0.0});
    }
    // The staircase went down ten steps for ten seen targets, whatever catch trials stood between.
    CHECK(std::get<StaircaseResult>(found.levels).tracks[0].trials == 3000);
    CHECK(std::get<StaircaseResult>(found.levels).tracks[0].limited_steps == 2990);
}

TEST_CASE("one catch trial among every so many, at a place that cannot be counted out") {
    TaskSpec spec = yes_no(400);
    spec.catch_trials.every = 5;
    const TaskState state = perfect_run(spec, 4);
    std::vector<int> at_place(5, 0);
    int in_block = 0;
    for (const AnsweredTrial& trial : state.answered) {
        const int index = trial.request.number - 1;
        if (index % 5 == 0)
            in_block = 0;
        if (!trial.request.catch_trial)
            continue;
        ++in_block;
        CHECK(in_block == 1);
        ++at_place[static_cast<std::size_t>(index % 5)];
    }
    CHECK(result(spec, state).catch_trials >= 99);
    for (const int count : at_place)
        CHECK(count >= 5);  // 20 expected of 100, SD 4
}

TEST_CASE("practice goes on until enough of the last answers are right, then measuring starts") {
    TaskSpec spec = yes_no(3);
    spec.practice = Practice{{{15.0}, {18.0}}, 3, 4, 10, true};
    TaskState state = start(spec, 1);
    std::vector<Level> practised;
    // Wrong, right, wrong, right, right: of the last four three are right.
    for (const bool right : {false, true, false, true, true}) {
        const TrialRequest request = *next_trial(spec, state);
        CHECK(request.practice);
        CHECK(request.feedback);
        practised.push_back(request.level);
        state = respond(spec, std::move(state), says(right));
    }
    CHECK(practised == std::vector<Level>{{15.0}, {18.0}, {15.0}, {18.0}, {15.0}});
    const TrialRequest first = *next_trial(spec, state);
    CHECK_FALSE(first.practice);
    CHECK_FALSE(first.feedback);
    CHECK(first.number == 6);
    CHECK(first.level == Level{10.0});  // practice has not moved the staircase
    const TaskResult found = result(spec, state);
    CHECK(found.practice_trials == 5);
    CHECK(found.measured_trials == 0);
}

TEST_CASE("practice that does not succeed ends the run and says so") {
    TaskSpec spec = yes_no(3);
    spec.practice = Practice{{{15.0}}, 2, 2, 6, true};
    TaskState state = start(spec, 1);
    for (int i = 0; i < 6; ++i)
        state = respond(spec, std::move(state), says(i % 2 == 0));
    CHECK_FALSE(next_trial(spec, state).has_value());
    CHECK(result(spec, state).phase == TaskPhase::practice_failed);
    CHECK_THROWS_AS(respond(spec, state, says(true)), std::logic_error);
}

TEST_CASE("forced choice drives a staircase by right answers, with a place for every target") {
    TaskSpec spec = yes_no(64);
    spec.question = ForcedChoice{4, true};
    spec.feedback = true;
    TaskState state = start(spec, 8);
    std::vector<int> places(4, 0);
    while (const auto request = next_trial(spec, state)) {
        CHECK(request->form == AnswerForm::place);
        CHECK(request->places == 4);
        CHECK(request->feedback);
        ++places[static_cast<std::size_t>(*request->target_place)];
        // Right above 4, else the next place.
        const int offset = request->level.front() > 4.0 ? 0 : 1;
        state = respond(spec, std::move(state),
                        {.kind = TrialResponse::Kind::place, .value = (*request->target_place + offset) % 4});
    }
    CHECK(places == std::vector<int>{16, 16, 16, 16});
    const TaskResult found = result(spec, state);
    CHECK(*std::get<StaircaseResult>(found.levels).tracks[0].estimate ==
          Approx(4.5).epsilon(test::kRoundingOfDoubles));
    for (const AnswerCounts& row : found.answers)
        CHECK(row.counts[row.level.front() > 4.0 ? 0 : 1] == 0);  // {wrong, right}
}

TEST_CASE("same or different counts hits and false alarms, and only differences move the level") {
    TaskSpec spec = yes_no(50);
    spec.question = SameDifferent{0.5};
    TaskState state = start(spec, 2);
    int alike = 0;
    while (const auto request = next_trial(spec, state)) {
        alike += request->target ? 0 : 1;
        CHECK_FALSE(request->catch_trial);
        if (!request->target)
            CHECK(request->level == Level{0.0});
        state = respond(spec, std::move(state), {.kind = TrialResponse::Kind::different});
    }
    const TaskResult found = result(spec, state);
    CHECK(found.measured_trials == 50 + alike);
    CHECK(alike > 20);
    for (const AnswerCounts& row : found.answers)
        if (!row.target)
            CHECK(row.counts == std::vector<int>{0, alike});
}

TEST_CASE("ratings over constant stimuli are counted by level and category") {
    TaskSpec spec;
    spec.question = Rating{4, std::nullopt};
    spec.levels = ConstantStimuliSpec{{{0.0}, {1.0}, {2.0}}, 5, 1};
    TaskState state = start(spec, 2);
    while (const auto request = next_trial(spec, state))
        state = respond(
            spec, std::move(state),
            {.kind = TrialResponse::Kind::rating, .value = 1 + static_cast<int>(request->level.front())});
    const TaskResult found = result(spec, state);
    REQUIRE(found.answers.size() == 3);
    for (const AnswerCounts& row : found.answers) {
        std::vector<int> wanted(4, 0);
        wanted[static_cast<std::size_t>(row.level.front())] = 5;
        CHECK(row.counts == wanted);
    }
    for (const auto& row : std::get<ConstantStimuliResult>(found.levels).rows) {
        CHECK(row.trials == 5);
        CHECK(row.judged == 0);
    }
}

TEST_CASE("all faults of a task are told together, those of its parts too") {
    TaskSpec spec = yes_no(10);
    spec.question = ForcedChoice{1, true};
    std::get<StaircaseSpec>(spec.levels).down = 0;
    spec.no_target.clear();
    spec.catch_trials = {0.7, 1};
    spec.practice = Practice{{{1.0, 2.0}}, 5, 4, 3, true};
    CHECK(input_error_text([&] { return start(spec, 1); }) ==
          "places: 1 places; write 2 to 16\n"
          "down: 0 successes in a row; write at least 1\n"
          "catch_trials.share: 0.7 of the trials; write a share above 0, at most 0.5\n"
          "catch_trials.every: one of each 1 trials; write at least 2\n"
          "catch_trials: both a share and a count; write share or every\n"
          "no_target: 0 numbers for 1 dimensions; write the level of a trial without a target\n"
          "practice.levels[0]: 2 numbers for 1 dimensions; give it the dimensions of the levels\n"
          "practice.right: 5 right of 4; write 1 to as many as `of` says\n"
          "practice.most: 3 trials for 4 answers; write at least as many as `of` says");

    spec = yes_no(10);
    spec.question = Rating{5, std::nullopt};
    spec.feedback = true;
    spec.practice = Practice{{{1.0}}, 1, 1, 5, true};
    CHECK(
        input_error_text([&] { return start(spec, 1); }) ==
        "seen_from: the level depends on success, a rating is none; say from which category on it was seen, "
        "or use constant stimuli\n"
        "seen_from: practice waits for right answers, a rating is none; say from which category on it was "
        "seen, or leave practice out\n"
        "feedback: a rating is neither right nor wrong; say from which category on it was seen, or leave "
        "feedback out");

    spec = yes_no(10);
    spec.question = SameDifferent{};
    spec.catch_trials.share = 0.1;
    CHECK(input_error_text([&] { return start(spec, 1); }) ==
          "catch_trials: the question same_different has trials alike; leave catch trials out and write "
          "same_share");

    spec = yes_no(10);
    spec.question = ForcedChoice{4, true};
    BayesianAdaptiveSpec bayesian;
    bayesian.levels = {{0.1}, {0.2}};
    bayesian.thresholds = {{{0.1, 0.2}, {}}};
    bayesian.slope.values = {3.5};
    bayesian.guess.values = {0.5};
    bayesian.lapse.values = {0.02};
    bayesian.trials = 10;
    spec.levels = bayesian;
    CHECK(input_error_text([&] { return start(spec, 1); }) ==
          "guess: 0.5 to 0.5 leaves out the chance among 4 places; write 0.25");
}
