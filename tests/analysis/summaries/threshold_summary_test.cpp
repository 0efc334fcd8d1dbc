#include "analysis/summaries/threshold_summary.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <sstream>

#include "analysis/summaries/text_layout.h"
#include "support/error_text.h"
#include "support/example_session.h"

using namespace isoseam;
using Catch::Matchers::Contains;

namespace {

AnswerRecord answer_of(const std::string& condition, const std::string& form, double level,
                       const std::string& answer) {
    AnswerRecord record = test::example_answer(1);
    record.condition = condition;
    record.form = form;
    record.axes = {"L"};
    record.level = {level};
    record.answer = answer;
    record.target_place.reset();
    record.right.reset();
    return record;
}

void add(SessionFolder& folder, int count, const AnswerRecord& answer) {
    folder.answers.insert(folder.answers.end(), static_cast<std::size_t>(count), answer);
}

void add_yes_no(SessionFolder& folder, double level, int trials, int yes) {
    add(folder, yes, answer_of("faint", "yes_no", level, "yes"));
    add(folder, trials - yes, answer_of("faint", "yes_no", level, "no"));
}

AnswerRecord without_target(AnswerRecord answer) {
    answer.target = false;
    answer.catch_trial = true;
    answer.level = {0.0};
    return answer;
}

SessionFolder folder_of(const std::string& participant) {
    SessionFolder folder;
    folder.folder = "out/" + participant;
    folder.state = SessionState::complete;
    folder.header_ok = true;
    folder.header = test::example_header();
    folder.header.participant = participant;
    folder.header.session = participant + "-20261125T160312Z";
    return folder;
}

// Yes or no at three levels; practice at a fourth level; four catch trials, one a false alarm.
SessionFolder yes_no_folder(const std::string& participant = "P01") {
    SessionFolder folder = folder_of(participant);
    add_yes_no(folder, 0.01, 20, 3);
    add_yes_no(folder, 0.02, 20, 10);
    add_yes_no(folder, 0.04, 20, 19);
    AnswerRecord practice = answer_of("faint", "yes_no", 0.5, "yes");
    practice.practice = true;
    add(folder, 5, practice);
    add(folder, 1, without_target(answer_of("faint", "yes_no", 0.0, "yes")));
    add(folder, 3, without_target(answer_of("faint", "yes_no", 0.0, "no")));
    return folder;
}

TaskSummary only_task(const ThresholdSummary& summary) {
    REQUIRE(summary.series.size() == 1);
    REQUIRE(summary.series.front().tasks.size() == 1);
    return summary.series.front().tasks.front();
}

TaskSummary task_of(const SessionFolder& folder, const ThresholdOptions& options = {}) {
    return only_task(summarise_thresholds({folder}, options));
}

}  // namespace

TEST_CASE("practice and catch trials are counted and stay out of the fit") {
    const TaskSummary task = task_of(yes_no_folder());
    CHECK((task.trials == 60 && task.practice_trials == 5 && task.no_target_trials == 4 &&
           task.false_alarms == 1));
    REQUIRE(task.levels.size() == 3);
    CHECK((task.levels[1].level == 0.02 && task.levels[1].trials == 20 && task.levels[1].successes == 10));
    const std::vector<LevelCount> counts = {{0.01, 20, 3}, {0.02, 20, 10}, {0.04, 20, 19}};
    REQUIRE((task.fit && task.fit->curve));
    CHECK(task.fit->curve->threshold ==
          fit_psychometric({PsychometricForm::weibull, 0.0, 0.02}, counts).curve->threshold);
    // One false alarm in four cannot be where the guess rate is 0, and can (binomial: 68 %) where it is 0.25.
    REQUIRE(task.notes.size() == 1);
    CHECK_THAT(task.notes[0],
               Contains("false alarms in 1 of 4 trials without a target do not go with a guess rate of 0"));
    ThresholdOptions options;
    options.guess = 0.25;
    CHECK(task_of(yes_no_folder(), options).notes.empty());
    options.guess = std::nullopt;
    const TaskSummary free = task_of(yes_no_folder(), options);
    CHECK(free.notes.empty());
    CHECK_FALSE(free.fit->model.guess);
}

TEST_CASE("runs and sessions of a participant are pooled, participants and conditions are not") {
    SessionFolder later = yes_no_folder();
    later.header.session = "P01-20261126T160312Z";
    later.folder = "out/later";
    for (AnswerRecord& answer : later.answers)
        answer.run = 9;
    AnswerRecord bright = answer_of("bright", "yes_no", 0.01, "yes");
    SessionFolder other = yes_no_folder("P02");
    add(other, 1, bright);
    const ThresholdSummary summary = summarise_thresholds({yes_no_folder(), later, other}, {});
    REQUIRE(summary.series.size() == 1);
    const std::vector<TaskSummary>& tasks = summary.series.front().tasks;
    REQUIRE(tasks.size() == 3);
    CHECK((tasks[0].participant == "P01" && tasks[0].trials == 120 && tasks[0].runs == 2));
    CHECK((tasks[1].participant == "P02" && tasks[1].condition == "bright" && tasks[1].trials == 1));
    CHECK((tasks[2].participant == "P02" && tasks[2].condition == "faint" && tasks[2].trials == 60));
}

TEST_CASE("a forced choice is fitted with a guess rate of one over its places") {
    SessionFolder folder = folder_of("P01");
    const auto add_level = [&](double level, int trials, int right, int places) {
        AnswerRecord answer = answer_of("faint", "place", level, "left");
        answer.target_place = "left";
        answer.places = places;
        answer.right = true;
        add(folder, right, answer);
        answer.right = false;
        add(folder, trials - right, answer);
    };
    const int places = GENERATE(2, 4);
    for (const auto& [level, right] : {std::pair{0.01, 21}, {0.02, 29}, {0.04, 38}, {0.08, 40}})
        add_level(level, 40, right, places);
    ThresholdOptions options;
    options.guess = 0.1;  // of other questions: must not enter here
    const TaskSummary task = task_of(folder, options);
    CHECK(task.places == places);
    REQUIRE((task.fit && task.fit->curve));
    CHECK(task.fit->curve->guess == 1.0 / places);
    CHECK(task.notes.empty());
}

TEST_CASE("pairs alike are what same or different has instead of catch trials") {
    SessionFolder folder = folder_of("P01");
    add(folder, 8, answer_of("faint", "same_different", 0.02, "different"));
    add(folder, 2, answer_of("faint", "same_different", 0.02, "same"));
    add(folder, 4, answer_of("faint", "same_different", 0.01, "different"));
    add(folder, 6, answer_of("faint", "same_different", 0.01, "same"));
    AnswerRecord alike = answer_of("faint", "same_different", 0.0, "different");
    alike.target = false;  // not marked as a catch trial
    add(folder, 2, alike);
    alike.answer = "same";
    add(folder, 8, alike);
    ThresholdOptions options;
    options.form = PsychometricForm::logistic;
    options.guess = 0.2;
    const TaskSummary task = task_of(folder, options);
    CHECK((task.trials == 20 && task.no_target_trials == 10 && task.false_alarms == 2));
    REQUIRE(task.levels.size() == 2);
    CHECK((task.levels[0].successes == 4 && task.levels[1].successes == 8));
    CHECK(task.notes.empty());
}

TEST_CASE("ratings are counted by level and category, and not fitted") {
    SessionFolder folder = folder_of("P01");
    const auto rated = [](double level, int category) {
        AnswerRecord answer = answer_of("faint", "rating", level, std::to_string(category));
        answer.answer_value = category;
        return answer;
    };
    add(folder, 3, rated(0.01, 1));
    add(folder, 2, rated(0.02, 4));
    add(folder, 1, rated(0.02, 2));
    add(folder, 5, without_target(rated(0.0, 1)));
    const TaskSummary task = task_of(folder);
    CHECK(task.not_fitted == "ratings are counted, not fitted");
    REQUIRE(task.ratings.size() == 3);
    CHECK(task.ratings[1].counts == std::vector{0, 1, 0, 2});
    CHECK((!task.ratings[2].level && task.ratings[2].counts == std::vector{5, 0, 0, 0}));
    CHECK_THAT(threshold_summary_text(summarise_thresholds({folder}, {})),
               Contains("Not fitted: ratings are counted"));
}

TEST_CASE("several dimensions, levels below 0 and no target at all are not fitted, and the reason is said") {
    SessionFolder two = folder_of("P01");
    AnswerRecord answer = answer_of("faint", "yes_no", 0.01, "yes");
    answer.axes = {"L", "S"};
    answer.level = {0.01, 0.02};
    add(two, 3, answer);
    CHECK(task_of(two).not_fitted == "levels of 2 dimensions are not fitted here");

    SessionFolder below = folder_of("P01");
    add_yes_no(below, -0.01, 10, 2);
    add_yes_no(below, 0.01, 10, 8);
    CHECK(
        task_of(below).not_fitted ==
        "a weibull has no level below 0, and -0.01 was shown; choose the form logistic or cumulative_normal");
    ThresholdOptions logistic;
    logistic.form = PsychometricForm::logistic;
    CHECK(task_of(below, logistic).fit);

    SessionFolder none = folder_of("P01");
    add(none, 3, without_target(answer_of("faint", "yes_no", 0.0, "no")));
    CHECK(task_of(none).not_fitted == "there is no measured trial with a target");
}

TEST_CASE("rehearsals are never pooled with people, and folders left out are named with the reason") {
    SessionFolder rehearsal = yes_no_folder();
    rehearsal.header.kind = "rehearsal";
    SessionFolder empty = folder_of("P03");
    SessionFolder damaged = yes_no_folder("P04");
    damaged.state = SessionState::damaged;
    const ThresholdSummary summary =
        summarise_thresholds({rehearsal, yes_no_folder(), yes_no_folder(), empty, damaged}, {});
    REQUIRE(summary.series.size() == 2);
    CHECK((summary.series[0].kind == "session" && summary.series[1].kind == "rehearsal"));
    CHECK(summary.series[0].tasks.front().trials == 60);
    CHECK(summary.folders[2].left_out_because == "it is the same session as out/P01");
    CHECK(summary.folders[3].left_out_because == "it holds no answer to a task");
    CHECK(summary.folders[4].left_out_because == "damaged");
    const std::string text = threshold_summary_text(summary);
    CHECK_THAT(text, Contains("REHEARSAL: answers of simulated observers, not of people"));
    CHECK_THAT(text, Contains("It is no diagnosis"));
}

TEST_CASE("the text says the figures, and words where there are none, within 110 columns") {
    ThresholdOptions options;
    options.bootstrap = 50;
    SessionFolder folder = yes_no_folder();
    for (int i = 0; i < 9; ++i)
        folder.answers.push_back(answer_of("clear", "yes_no", 0.01 * (1 + i % 3), "yes"));
    const ThresholdSummary summary = summarise_thresholds({folder}, options);
    const std::string text = threshold_summary_text(summary);
    CHECK_THAT(text, Contains("Participant P01, faint: yes or no, along L, % contrast"));
    CHECK_THAT(
        text,
        Contains("60 trials with a target, in 1 run. Not among them: 5 of practice, 4 without a target, 1"));
    CHECK_THAT(text, Contains("(25.0 %)."));
    CHECK_THAT(text, Contains("        1.0000      20          3     15.0"));
    CHECK_THAT(text, Contains("guess rate 0.000 (fixed), lapse rate 0.020 (fixed)"));
    CHECK_THAT(text, Contains("bootstrap: 50 samples"));
    CHECK_THAT(
        text,
        Contains("Not identified: every trial was a success: the threshold lies below the levels shown."));
    CHECK_THAT(text, Contains("Threshold, 95 %: up to "));
    std::istringstream lines(text);
    for (std::string line; std::getline(lines, line);)
        CHECK(text_columns(line) <= kTextColumns);
}

TEST_CASE("the JSON form holds the same figures with their names, and null for what is not defined") {
    ThresholdOptions options;
    options.bootstrap = 50;
    SessionFolder folder = yes_no_folder();
    for (int i = 0; i < 9; ++i)
        folder.answers.push_back(answer_of("clear", "yes_no", 0.01 * (1 + i % 3), "yes"));
    const nlohmann::json json = to_json(summarise_thresholds({folder}, options));
    CHECK(json.at("options").at("lapse") == 0.02);
    const nlohmann::json& clear = json.at("series")[0].at("tasks")[0];
    CHECK(clear.at("fit").at("threshold").at("value").is_null());
    CHECK(clear.at("fit").at("threshold").at("interval_95").at("low").is_null());
    CHECK(clear.at("fit").at("threshold").at("interval_95").at("high").is_number());
    CHECK(clear.at("fit").at("not_identified").size() == 1);
    CHECK(clear.at("bootstrap").is_null());
    const nlohmann::json& faint = json.at("series")[0].at("tasks")[1];
    const TaskSummary task = summarise_thresholds({folder}, options).series[0].tasks[1];
    CHECK(faint.at("fit").at("threshold").at("value") == task.fit->curve->threshold);
    CHECK(faint.at("fit").at("slope").at("standard_error") == *task.fit->standard_error.slope);
    CHECK(faint.at("bootstrap").at("goodness_of_fit_p") == task.bootstrap->goodness_p);
    CHECK(faint.at("levels")[2] == nlohmann::json({{"level", 0.04}, {"trials", 20}, {"successes", 19}}));
    CHECK((faint.at("false_alarms") == 1 && faint.at("places").is_null()));
}

TEST_CASE("options that no fit can have are refused before any folder is looked at") {
    ThresholdOptions options;
    options.guess = -0.1;
    options.bootstrap = -1;
    const std::string text =
        test::input_error_text([&] { static_cast<void>(summarise_thresholds({}, options)); });
    CHECK_THAT(text, Contains("guess: -0.1 is no guess rate; give a number from 0 to below 1"));
    CHECK_THAT(text, Contains("bootstrap: -1 samples; give 0 or more"));
}
