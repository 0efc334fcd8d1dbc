#include "protocols/procedures/procedure.h"

#include <catch2/catch.hpp>
#include <string>

#include "support/invented_display.h"
#include "support/protocols/simulated_answers.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

struct Example {
    std::string name;
    ProcedureSpec spec;
    double lowest = 0.0;  // of every number that may be asked for
    double highest = 0.0;
};

StaircaseSpec staircase() {
    StaircaseSpec spec;
    spec.tracks = {{0.5, 0.01, 1.0}, {0.1, 0.01, 1.0}};
    spec.scale = StepScale::log10;
    spec.down = 2;
    spec.step_down = {0.3, 0.1};
    spec.step_up = {0.4, 0.15};
    spec.reversals = 12;
    spec.trials = 60;
    return spec;
}

BayesianAdaptiveSpec bayesian() {
    BayesianAdaptiveSpec spec;
    for (int i = 0; i <= 20; ++i)
        spec.levels.push_back({0.05 * i});
    spec.thresholds.resize(1);
    for (int i = 1; i <= 20; ++i)
        spec.thresholds[0].values.push_back(0.04 * i);
    spec.slope = {{2.0, 3.5}, {}};
    spec.guess = {{0.25, 0.5}, {}};
    spec.lapse = {{0.02}, {}};
    spec.trials = 40;
    return spec;
}

TaskSpec task(const Question& question, const LevelSourceSpec& levels, std::size_t dimensions) {
    TaskSpec spec;
    spec.question = question;
    spec.levels = levels;
    spec.no_target = Level(dimensions, 0.0);
    if (!std::holds_alternative<SameDifferent>(question))
        spec.catch_trials.share = 0.15;
    spec.practice = Practice{{Level(dimensions, 1.0)}, 2, 4, 50, true};
    return spec;
}

// Every question with every source of levels, and the adjustments.
std::vector<Example> examples(const DriveSolver& solver) {
    std::vector<Example> made;
    const ConstantStimuliSpec constant{{{0.2, 0.3}, {0.4, 0.5}, {1.0, 0.0}}, 20, 2};
    const std::pair<std::string, Question> questions[] = {{"forced choice", ForcedChoice{2, true}},
                                                          {"forced choice, drawn", ForcedChoice{4, false}},
                                                          {"yes or no", YesNo{}},
                                                          {"same or different", SameDifferent{0.4}},
                                                          {"rating", Rating{4, 3}}};
    for (const auto& [name, question] : questions) {
        made.push_back({name + " by staircase", task(question, staircase(), 1), 0.0, 1.0});
        made.push_back({name + " by constant stimuli", task(question, constant, 2), 0.0, 1.0});
        made.push_back({name + " by Bayesian choice", task(question, bayesian(), 1), 0.0, 1.0});
    }
    made.push_back(
        {"least flicker", FlickerNullSpec{0.5, 0.2, 0.05, 0.01, 0.05, 0.0, 1.0, 6, std::nullopt}, 0.0, 1.0});
    MatchAdjustmentSpec match;
    match.problem.solver = &solver;
    match.problem.axes = {{"S", Eigen::Vector3d(0.0, 0.0, 1.0), 0.02, 0.1, 0.2}};
    match.problem.predicted = solver.lms({Eigen::Vector3d(0.4, 0.5, 0.5)});
    made.push_back({"adjustment", match, -2.0, 2.0});
    return made;
}

struct Run {
    std::vector<TrialRequest> requests;
    std::vector<TrialResponse> responses;
};

Run run_of(const ProcedureSpec& spec, std::uint64_t seed, std::uint64_t observer) {
    Run run;
    ProcedureState state = start(spec, seed);
    while (const auto request = next_trial(spec, state)) {
        run.requests.push_back(*request);
        run.responses.push_back(any_answer(*request, observer, run.responses.size()));
        state = respond(spec, std::move(state), run.responses.back());
        REQUIRE(run.requests.size() < 2000);
    }
    return run;
}

const DriveSolver& solver() {
    static const DriveSolver made(invented_display({620.0, 535.0, 455.0}), Observer({}));
    return made;
}

}  // namespace

TEST_CASE(
    "any procedure asks for the same trials given the same seed and answers, and for others by another") {
    for (const Example& example : examples(solver())) {
        INFO(example.name);
        const Run run = run_of(example.spec, 11, 1);
        CHECK(run.requests.size() > 2);
        CHECK(run_of(example.spec, 11, 1).requests == run.requests);
        CHECK(run_of(example.spec, 12, 1).requests != run.requests);
    }
}

TEST_CASE("replaying any part of a run's answers asks for the very trial that came next") {
    for (const Example& example : examples(solver())) {
        INFO(example.name);
        const Run run = run_of(example.spec, 21, 2);
        const std::size_t step = std::max<std::size_t>(1, run.responses.size() / 6);
        for (std::size_t count = 0; count < run.responses.size(); count += step) {
            const ProcedureState state = replay(example.spec, 21, std::span(run.responses).first(count));
            CHECK(next_trial(example.spec, state) == run.requests[count]);
        }
        const ProcedureState ended = replay(example.spec, 21, run.responses);
        CHECK_FALSE(next_trial(example.spec, ended).has_value());
    }
}

TEST_CASE("every level asked for lies within the limits, and every run ends") {
    for (const Example& example : examples(solver()))
        for (std::uint64_t seed = 0; seed < 5; ++seed) {
            INFO(example.name << ", seed " << seed);
            for (const TrialRequest& request : run_of(example.spec, seed, 100 + seed).requests)
                for (const double number : request.level) {
                    REQUIRE(number >= example.lowest);
                    REQUIRE(number <= example.highest);
                }
        }
}

TEST_CASE("an answer of another form than was asked for is a programmer's fault") {
    for (const Example& example : examples(solver())) {
        INFO(example.name);
        const ProcedureState state = start(example.spec, 1);
        const bool asks_yes_no = next_trial(example.spec, state)->form == AnswerForm::yes_no;
        const TrialResponse wrong{.kind = asks_yes_no ? TrialResponse::Kind::same : TrialResponse::Kind::yes};
        CHECK_THROWS_AS(respond(example.spec, state, wrong), std::logic_error);
    }
}

TEST_CASE("a result can be read at every moment") {
    for (const Example& example : examples(solver())) {
        INFO(example.name);
        ProcedureState state = start(example.spec, 4);
        CHECK(result(example.spec, state).index() == example.spec.index());
        const TrialRequest first = *next_trial(example.spec, state);
        state = respond(example.spec, std::move(state), any_answer(first, 5, 0));
        CHECK(result(example.spec, state).index() == example.spec.index());
    }
}
