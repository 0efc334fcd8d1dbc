// What `protocol show` tells of a protocol and of a session to come.

#include "protocols/checks/plan.h"

#include <catch2/catch.hpp>

#include "protocols/course/course.h"
#include "support/protocols/example_protocol.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

const std::string kBlocks = example_for_tasks() + R"(languages: [en, de]
instructions: [{heading: {en: Hello, de: Hallo}, text: words}]
questions: {before: [{name: eye, ask: Which eye, answer: [left, right]}]}
blocks:
  - name: matches
    adjustment: {half: right, space: cone_contrast, axes: {L-M: {fine: 0.5 %, coarse: 1 %, start: 5 %}}}
    conditions: [{name: grey, reference: grey, repeats: 3}]
  - name: steps
    task:
      question: forced_choice
      space: cone_contrast
      along: L
      shown: 500 ms
      practice: {levels: [4 %], right: 3, of: 4}
      staircase: {scale: log10, start: 4 %, lowest: 0.1 %, highest: 5 %, down: 3, up: 1, step_down: [0.3, 0.1], step_up: [0.3, 0.1], reversals: 10, discard: 2}
    conditions: [{name: steps grey, reference: grey, repeats: 2}]
  - name: list
    task:
      question: yes_no
      half: right
      space: cone_contrast
      along: L
      catch_trials: {every: 5}
      constant_stimuli: {levels: [1 %, 2 %], repeats: 3}
    conditions: [{name: list grey, reference: grey, repeats: 1}]
order_of_blocks: latin_square
)";

}  // namespace

TEST_CASE("the plan of a session has the runs and the starting points that the session will have") {
    const Setup setup = setup_of(kBlocks);
    const std::uint64_t seed = 9;
    const ProtocolPlan plan = plan_session(setup, seed, "P02");
    CHECK(plan.blocks == std::vector<int>{1, 2, 0});
    const std::vector<Run> runs = run_order(setup.protocol(), seed, "P02");
    REQUIRE(plan.runs.size() == runs.size());
    for (std::size_t i = 0; i < runs.size(); ++i) {
        CHECK(plan.runs[i].run.number == runs[i].number);
        CHECK(plan.runs[i].run.condition == runs[i].condition);
    }
    CHECK(plan.runs[0].levels == std::vector<Level>{{0.04}});
    CHECK_FALSE(plan.runs[0].complete);
    const AdjustmentProblem problem = setup.adjustment(0, {8, DitherKind::ordered});
    const Run& last = plan.runs.back().run;
    const AdjustmentState start =
        starting_point(problem, std::get<AdjustmentPlan>(setup.protocol().blocks[0].plan), last, seed);
    CHECK(plan.runs.back().levels == std::vector<Level>{{start.position[0]}});
    CHECK(plan.runs.back().complete);
}

TEST_CASE("levels of constant stimuli are told in the order in which the course asks for them") {
    const Setup setup = setup_of(kBlocks);
    const ProtocolPlan plan = plan_session(setup, 9, "P03");  // the list comes first
    REQUIRE(plan.blocks.front() == 2);
    Course course(setup, {8, DitherKind::ordered}, 9, "P03");
    std::vector<Level> asked;
    while (course.next() && course.next()->block == 2) {
        if (!course.next()->request.catch_trial)
            asked.push_back(course.next()->request.level);
        TrialResponse yes;
        course.respond(yes);
    }
    CHECK(plan.runs.front().levels == asked);
    CHECK(asked.size() == 6);
}

TEST_CASE("the plan in words") {
    const Setup setup = setup_of(kBlocks);
    const std::string text = plan_text(setup, plan_session(setup, 9, "P01"), 9, "P01");
    for (const char* words :
         {"Languages: en, de\n", "  question before, eye: Which eye (one of left, right)\n",
          "  page: Hello | Hallo\n",
          "Block 'matches': adjustment, in cone_contrast; 3 trials, about 1 minutes\n",
          "  axis L-M: steps of 0.5 % and 1 %, starts within 5 % of the match\n",
          "Block 'steps': forced choice among 2 places, driven by a staircase, in cone_contrast",
          "  target shown for 0.5 s\n",
          "  3 down, 1 up: steps down 0.3, then 0.1, up 0.3, then 0.1 log10 units; converges near 79.4 % of "
          "successes\n",
          "  track: starts at 4 %, stays between 0.1 % and 5 %\n",
          "  a track ends after 10 reversals, of which the first 2 are discarded\n",
          "  practice at 4 % until 3 of the last 4 are right, 20 trials at most\n",
          "  levels 1 %, 2 %, each 3 times in blocks of 1\n", "  catch trials: one of each 5\n",
          "    list grey: grey, along L, 1 time\n", "Blocks come by a Latin square over participants.\n",
          "Runs with seed 9 and participant P01\n",
          "    4  steps: steps grey (1): begins at 4 %, then by the answers\n"})
        CHECK_THAT(text, Catch::Contains(words));
}
