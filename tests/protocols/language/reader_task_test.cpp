// Tasks: what is asked, what is shown, and what drives the level.

#include <catch2/catch.hpp>
#include <cmath>

#include "support/error_text.h"
#include "support/protocols/example_protocol.h"
#include "support/tolerances.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

const std::string kOneCondition = "conditions: [{name: a, reference: grey, repeats: 1}]\n";

Protocol protocol_with(const std::string& task) {
    return parse_protocol(example_for_tasks() + task + kOneCondition, "example.yaml");
}

TaskPlan task_of(const std::string& task) {
    return std::get<TaskPlan>(protocol_with(task).blocks.at(0).plan);
}

std::string field_of(const std::string& parts) {
    std::string text = example_for_tasks();
    const std::string from = "split: vertical";
    text.replace(text.find(from), from.size(), "parts: " + parts);
    for (const std::string half : {"  left: lcd\n", "  right: lcd\n"})
        text.erase(text.find(half), half.size());
    return text;
}

}  // namespace

TEST_CASE("every key of a task arrives where it belongs") {
    const TaskPlan plan = task_of(R"(task:
  question: forced_choice
  space: cone_contrast
  along: L-M
  wait: 500 ms
  shown: 400 ms
  onset: 100 ms
  interleaved: yes
  feedback: yes
  balanced: no
  no_target: 0.1 %
  catch_trials: {share: 10 %}
  practice: {levels: [4 %, 3 %], right: 4, of: 5, most: 12, feedback: no}
  staircase:
    scale: log10
    tracks: [{start: 2 %, lowest: 0.1 %, highest: 4 %}, {start: 1 %, lowest: 0.2 %, highest: 3 %}]
    down: 3
    up: 2
    step_down: [0.3, 0.1]
    step_up: [0.4, 0.2]
    reversals: 10
    trials: 60
    discard: 2
)");
    const auto& choice = std::get<ForcedChoice>(plan.spec.question);
    CHECK(choice.places == 2);
    CHECK_FALSE(choice.balanced);
    CHECK(plan.wait_s == 0.5);
    CHECK(plan.shown_s == 0.4);
    CHECK(plan.onset_s == 0.1);
    CHECK(plan.between_s == 0.0);
    CHECK(plan.interleaved);
    CHECK(plan.spec.feedback);
    CHECK(plan.spec.no_target == Level{0.001});
    CHECK(plan.spec.catch_trials.share == 0.1);
    REQUIRE(plan.spec.practice);
    CHECK(plan.spec.practice->levels == std::vector<Level>{{0.04}, {0.03}});
    CHECK(plan.spec.practice->right == 4);
    CHECK(plan.spec.practice->of == 5);
    CHECK(plan.spec.practice->most == 12);
    CHECK_FALSE(plan.spec.practice->feedback);
    const auto& staircase = std::get<StaircaseSpec>(plan.spec.levels);
    REQUIRE(staircase.tracks.size() == 2);
    CHECK(staircase.tracks[1].start == 0.01);
    CHECK(staircase.tracks[1].lowest == 0.002);
    CHECK(staircase.tracks[1].highest == 0.03);
    CHECK(staircase.scale == StepScale::log10);
    CHECK(staircase.down == 3);
    CHECK(staircase.up == 2);
    CHECK(staircase.step_down == std::vector<double>{0.3, 0.1});
    CHECK(staircase.step_up == std::vector<double>{0.4, 0.2});
    CHECK(staircase.reversals == 10);
    CHECK(staircase.trials == 60);
    CHECK(staircase.discard == 2);
    std::string asked;
    for (const AskedLevel& level : plan.asked)
        asked += level.key + " ";
    CHECK(asked ==
          "task.staircase.tracks[1].lowest task.staircase.tracks[1].highest "
          "task.staircase.tracks[2].lowest task.staircase.tracks[2].highest task.no_target "
          "task.practice.levels[1] task.practice.levels[2] ");
}

TEST_CASE("linear steps and coordinates have the unit of the level") {
    const std::string rest = ", down: 1, up: 1, trials: 9}\n";
    const auto percent = std::get<StaircaseSpec>(
        task_of("task:\n  question: yes_no\n  half: right\n  space: cone_contrast\n  along: L\n  staircase: "
                "{scale: linear, start: 1 %, lowest: -2 %, highest: 2 %, step_down: 0.5 %, step_up: 1 %" +
                rest)
            .spec.levels);
    CHECK(percent.step_down == std::vector<double>{0.005});
    CHECK(percent.tracks[0].lowest == -0.02);
    const auto plain = std::get<StaircaseSpec>(
        task_of(
            "task:\n  question: yes_no\n  half: right\n  space: macleod_boynton\n  along: s\n  staircase: "
            "{scale: linear, start: 0.001, lowest: 0, highest: 0.002, step_down: 0.0005, step_up: 0.0005" +
            rest)
            .spec.levels);
    CHECK(plain.step_down == std::vector<double>{0.0005});
    CHECK(plain.tracks[0].highest == 0.002);
}

TEST_CASE("places of a forced choice are what the field has: halves, quadrants, or intervals of a spot") {
    const std::string task =
        "task: {question: forced_choice, space: cone_contrast, along: L, shown: 200 ms, constant_stimuli: "
        "{levels: [1 %], repeats: 2}";
    const auto places = [](const Protocol& protocol) {
        return std::get<ForcedChoice>(std::get<TaskPlan>(protocol.blocks.at(0).plan).spec.question).places;
    };
    CHECK(places(protocol_with(task + "}\n")) == 2);
    CHECK(places(parse_protocol(field_of("quadrants") + task + "}\n" + kOneCondition, "q.yaml")) == 4);
    const Protocol spot =
        parse_protocol(field_of("spot") + task + ", between: 300 ms}\n" + kOneCondition, "s.yaml");
    CHECK(places(spot) == 2);
    CHECK(std::get<TaskPlan>(spot.blocks[0].plan).between_s == 0.3);
}

TEST_CASE("same or different, and rating") {
    const std::string rest =
        "half: right, space: cone_contrast, along: L, constant_stimuli: {levels: [1 %], repeats: 6, "
        "repeats_in_block: 3}}\n";
    const TaskPlan same = task_of("task: {question: same_different, same_share: 40 %, " + rest);
    CHECK(std::get<SameDifferent>(same.spec.question).same_share == 0.4);
    CHECK(same.spec.no_target == Level{0.0});  // left out: the predicted match itself
    const auto& constant = std::get<ConstantStimuliSpec>(same.spec.levels);
    CHECK(constant.repeats == 6);
    CHECK(constant.repeats_in_block == 3);
    const TaskPlan rated = task_of("task: {question: rating, categories: 6, seen_from: 4, " + rest);
    CHECK(std::get<Rating>(rated.spec.question).categories == 6);
    CHECK(std::get<Rating>(rated.spec.question).seen_from == 4);
}

TEST_CASE("a Bayesian procedure on one dimension: grids are spaced as the file says") {
    const TaskPlan plan = task_of(R"(task:
  question: forced_choice
  space: cone_contrast
  along: L
  bayesian:
    form: weibull
    levels: {from: 0.1 %, to: 10 %, count: 5, spacing: log}
    threshold: {from: 0.2 %, to: 0.8 %, count: 3, spacing: log}
    slope: {from: 2, to: 4, count: 3}
    lapse: 2 %
    trials: 64
    precision: 0.4
)");
    const auto& bayesian = std::get<BayesianAdaptiveSpec>(plan.spec.levels);
    CHECK(bayesian.form == PsychometricForm::weibull);
    REQUIRE(bayesian.levels.size() == 5);
    CHECK(bayesian.levels.front() == Level{0.001});
    CHECK(bayesian.levels[2][0] == Approx(0.01).epsilon(test::kRoundingOfDoubles));
    CHECK(bayesian.levels.back() == Level{0.1});
    REQUIRE(bayesian.thresholds.size() == 1);
    CHECK(bayesian.thresholds[0].values[1] == Approx(0.004).epsilon(test::kRoundingOfDoubles));
    CHECK(bayesian.slope.values == std::vector<double>{2.0, 3.0, 4.0});
    CHECK(bayesian.guess.values == std::vector<double>{0.5});  // of two places
    CHECK(bayesian.lapse.values == std::vector<double>{0.02});
    CHECK(bayesian.trials == 64);
    CHECK(bayesian.precision == 0.4);
}

TEST_CASE("a Bayesian procedure on two dimensions: levels on circles, an angle, a threshold for each axis") {
    const TaskPlan plan = task_of(R"(task:
  question: yes_no
  half: right
  space: cone_contrast
  along: [L, M]
  bayesian:
    form: weibull
    levels: {radii: {from: 1 %, to: 4 %, count: 2}, directions: 4}
    threshold: [{from: 0.5 %, to: 1 %, count: 2}, 1 %]
    angle: {from: 0 deg, to: 165 deg, count: 12}
    slope: 3.5
    guess: 5 %
    lapse: 2 %
    trials: 10
)");
    const auto& bayesian = std::get<BayesianAdaptiveSpec>(plan.spec.levels);
    REQUIRE(bayesian.levels.size() == 8);
    for (std::size_t i = 0; i < 8; ++i) {
        const double radius = i < 4 ? 0.01 : 0.04;
        CHECK(std::hypot(bayesian.levels[i][0], bayesian.levels[i][1]) ==
              Approx(radius).epsilon(test::kRoundingOfDoubles));
    }
    CHECK(bayesian.levels[1][1] ==
          Approx(0.01).epsilon(test::kRoundingOfDoubles));  // a quarter turn from the first axis
    CHECK(bayesian.levels[6][0] == Approx(-0.04).epsilon(test::kRoundingOfDoubles));  // half a turn
    REQUIRE(bayesian.thresholds.size() == 2);
    CHECK(bayesian.thresholds[1].values == std::vector<double>{0.01});
    REQUIRE(bayesian.angle_deg.values.size() == 12);
    CHECK(bayesian.angle_deg.values[1] == Approx(15.0).epsilon(test::kRoundingOfDoubles));
}

TEST_CASE("directions may be those of each condition") {
    const Protocol protocol = parse_protocol(example_for_tasks() + R"(task:
  {question: yes_no, half: right, space: cone_contrast, constant_stimuli: {levels: [[1 %, 2 %]], repeats: 2}}
conditions:
  - {name: a, reference: grey, along: [L, S], repeats: 1}
  - {name: b, reference: grey, along: [M, S], repeats: 1}
)",
                                             "example.yaml");
    CHECK(protocol.conditions[1].axes[0].name == "M");
    CHECK(protocol.conditions[1].axes[1].direction == Eigen::Vector3d(0, 0, 1));
    CHECK(protocol.conditions[1].keys.along == "conditions[2].along");
}

// What fits by the message is shown, and a hundredth more is not.
TEST_CASE("the largest level that fits is named, and fits") {
    const auto task = [](const std::string& highest) {
        return example_for_tasks() +
               "task: {question: yes_no, half: right, space: cone_contrast, along: L-M, staircase: {scale: "
               "log10, "
               "start: 1 %, lowest: 0.1 %, highest: " +
               highest + ", down: 1, up: 1, step_down: 0.1, step_up: 0.1, trials: 20}}\n" + kOneCondition;
    };
    const std::string told = input_error_text([&] { setup_of(task("50 %")); });
    const std::string before = "up to ";
    const std::size_t start = told.find(before) + before.size();
    REQUIRE(start > before.size());
    const double largest = std::stod(told.substr(start));
    CHECK(told.find("task.staircase.highest: the level 50 % in condition 'a' is out of the gamut") !=
          std::string::npos);
    CHECK(setup_of(task(std::to_string(largest) + " %")).source_count() == 1);
    CHECK(input_error_text([&] { setup_of(task(std::to_string(1.01 * largest) + " %")); }) != "no error");
}
