// What is said of tasks that common practice would build otherwise.

#include <catch2/catch.hpp>

#include "protocols/checks/cautions.h"
#include "protocols/checks/check.h"
#include "protocols/language/durations.h"
#include "support/file_bytes.h"
#include "support/protocols/example_protocol.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

std::string cautions_of(const std::string& task, DitherKind dither = DitherKind::ordered) {
    const std::string text = example_for_tasks() + "task:\n  space: cone_contrast\n  along: L\n" + task +
                             "conditions: [{name: a, reference: grey, repeats: 1}]\n";
    std::string all;
    for (const std::string& caution : caution_texts(cautions_of(setup_of(text), dither)))
        all += caution.find("task") != std::string::npos ? caution + "\n" : "";
    return all;
}

const std::string kPractice = "  practice: {levels: [4 %], right: 3, of: 4}\n";

std::string staircase(const std::string& changed, const std::string& to) {
    std::string text =
        "  question: forced_choice\n" + kPractice +
        "  staircase: {scale: log10, tracks: [{start: 2 %, lowest: 0.2 %, highest: 8 %}, {start: 1 %, "
        "lowest: 0.2 "
        "%, highest: 8 %}], down: 3, up: 1, step_down: 0.1, step_up: 0.1, reversals: 10, discard: 2}\n";
    if (!changed.empty())
        text.replace(text.find(changed), changed.size(), to);
    return text;
}

}  // namespace

TEST_CASE("a task by the book needs no caution") {
    CHECK(cautions_of(staircase("", "")) == "");
    CHECK(cautions_of("  question: yes_no\n  half: right\n  catch_trials: {every: 5}\n" + kPractice +
                      "  constant_stimuli: {levels: [1 %, 2 %], repeats: 5}\n") == "");
}

TEST_CASE("each departure from common practice is told, and nothing else") {
    const auto told = [](const std::string& task, const std::string& words) {
        const std::string cautions = cautions_of(task);
        INFO(cautions);
        CHECK(cautions.find(words) == 0);
        CHECK(cautions.find('\n') + 1 == cautions.size());
    };
    told("  question: yes_no\n  half: right\n" + kPractice +
             "  constant_stimuli: {levels: [1 %, 2 %], repeats: 5}\n",
         "The task asks yes or no without catch trials: ");
    told(staircase(kPractice, ""), "The task has no practice: ");
    told(staircase("  staircase", "  wait: 3 s\n  shown: 0.5 s\n  staircase"),
         "The task takes 3.5 s for each trial before anybody can answer, more than the 3 s of "
         "seconds_per_trial: ");
    // One down and one up converge at a half, which is chance among two places.
    told(staircase("down: 3", "down: 1"),
         "The task has a staircase that converges at 50 % of successes, where guessing among 2 places gives "
         "50 "
         "%: ");
    told(staircase(", {start: 1 %, lowest: 0.2 %, highest: 8 %}", ""),
         "The task has one staircase at a time: ");
    told(staircase("start: 2 %, lowest: 0.2 %", "start: 2 %, lowest: 1.5 %"),
         "The task has a staircase that starts within 2 steps of its lowest level: ");
    told(staircase("discard: 2", "discard: 6"), "The task estimates from 4 reversals, which is few: ");
}

TEST_CASE("levels finer than the screen's steps are told, unless dither makes the steps finer") {
    const std::string task = "  question: yes_no\n  half: right\n  catch_trials: {every: 5}\n" + kPractice +
                             "  constant_stimuli: {levels: [0.1 %, 2 %], repeats: 5}\n";
    CHECK(cautions_of(task, DitherKind::none)
              .find("The task can ask for the level 0.1 %, which is finer than the screen's steps at ") == 0);
    CHECK(cautions_of(task, DitherKind::ordered) == "");
}

TEST_CASE("check takes the age and the code of a participant") {
    const TemporaryFolder folder;
    std::string text = example_with({{"age: 32 years", "age: session"}}) + "order: latin_square\n";
    write_file(folder.file("p.yaml"), text);
    const auto cautions = [](const ProtocolReport& report) {
        std::string all;
        for (const std::string& caution : report.cautions)
            all += caution + "\n";
        return all;
    };
    const ProtocolReport anybody = check_protocol(folder.file("p.yaml"), {});
    CHECK(anybody.faults.empty());
    CHECK(anybody.age_years == 32.0);
    CHECK_THAT(cautions(anybody), Catch::Contains("This report is for 32 years; --age gives another"));
    CHECK_THAT(cautions(anybody), Catch::Contains("The order hangs on the number at the end"));
    const ProtocolReport somebody =
        check_protocol(folder.file("p.yaml"), {}, DitherKind::ordered, {60.0, "P03"});
    CHECK(somebody.age_years == 60.0);
    CHECK_THAT(cautions(somebody), !Catch::Contains("--age gives another"));
    // Another age, another match on the other screen.
    CHECK(somebody.conditions[0].match_margin != anybody.conditions[0].match_margin);
    const ProtocolReport wrong =
        check_protocol(folder.file("p.yaml"), {}, DitherKind::ordered, {90.0, "nobody"});
    REQUIRE(wrong.faults.size() == 2);
    for (const ReportedFault& fault : wrong.faults)
        CHECK(fault.of == FaultOf::command_line);
    CHECK(to_string(wrong.faults[0]) ==
          "--age: 90 years; the observers of CIE 170-1:2006 are 20 to 80 years old");
    CHECK(
        to_string(wrong.faults[1]) ==
        "--participant: 'nobody' does not end in a number from 1 on; this protocol takes its order from the "
        "number of the participant: write codes such as P01, P02, P03");
}

TEST_CASE("blocks have their own trials and durations") {
    const TemporaryFolder folder;
    write_file(folder.file("p.yaml"), example_for_tasks() + R"(adaptation: {light: grey, duration: 20 s}
blocks:
  - name: one
    instructions: [{heading: A, text: a}]
    adjustment: {half: right, space: cone_contrast, axes: {L: {fine: 1 %, coarse: 2 %, start: 3 %}}}
    conditions: [{name: a, reference: grey, repeats: 2}]
  - name: two
    task: {question: rating, categories: 5, half: right, space: cone_contrast, along: L, constant_stimuli: {levels: [1 %, 2 %], repeats: 5}}
    conditions: [{name: b, reference: grey, repeats: 1}]
    seconds_per_trial: 4 s
)");
    const ProtocolReport report = check_protocol(folder.file("p.yaml"), {});
    CHECK(report.faults.empty());
    REQUIRE(report.blocks.size() == 2);
    CHECK(report.blocks[0].name == "one");
    CHECK(report.blocks[0].trials == 2);
    CHECK(report.blocks[0].expected_duration_s == 15.0 + 20.0 + 2 * 20.0);
    CHECK(report.blocks[1].what == "rating in 5 categories, driven by constant stimuli");
    CHECK(report.blocks[1].trials == 10);
    CHECK(report.blocks[1].expected_duration_s == 20.0 + 10 * 4.0);
    CHECK(report.settings == 12);
    CHECK(report.expected_duration_s == 135.0);
    CHECK(report.conditions[0].reachable_share.has_value());
    CHECK_FALSE(report.conditions[1].reachable_share.has_value());
    CHECK(report.conditions[1].block == 1);
}
