// Blocks, orders and conditions.

#include <catch2/catch.hpp>

#include "protocols/language/durations.h"
#include "support/error_text.h"
#include "support/protocols/example_protocol.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

// With a ring, and a light for it.
std::string with_ring() {
    std::string text = example_for_tasks();
    const std::string shape = "shape: disc, ";
    text.insert(text.find(shape) + shape.size(), "ring: {size: 6 deg, light: grey}, ");
    const std::string lights = "lights:\n";
    text.insert(text.find(lights) + lights.size(), "  purple: contrast S 20 % from grey\n");
    return text;
}

const std::string kAdjustment =
    "adjustment: {half: right, space: cone_contrast, axes: {L: {fine: 1 %, coarse: 2 %, start: 3 %}}}\n";

std::string names_of(const Protocol& protocol) {
    std::string names;
    for (const Condition& condition : protocol.conditions)
        names += condition.name + "\n";
    return names;
}

}  // namespace

TEST_CASE("a file with one block and a file with a list of one read alike, but for the keys of its faults") {
    const std::string rest =
        "conditions: [{name: a, reference: grey, repeats: 2}]\norder: rounds\nrest_every: 3\n";
    const Protocol flat = parse_protocol(example_for_tasks() + kAdjustment + rest, "example.yaml");
    std::string indented = "blocks:\n  - name: one\n";
    for (const std::string& line :
         {kAdjustment, std::string("conditions: [{name: a, reference: grey, repeats: 2}]\n"),
          std::string("order: rounds\n"), std::string("rest_every: 3\n")})
        indented += "    " + line;
    const Protocol listed = parse_protocol(example_for_tasks() + indented, "example.yaml");
    REQUIRE(flat.blocks.size() == 1);
    REQUIRE(listed.blocks.size() == 1);
    CHECK(flat.blocks[0].key == "");
    CHECK(listed.blocks[0].key == "blocks[1].");
    CHECK(listed.blocks[0].name == "one");
    CHECK(flat.conditions[0].keys.reference == "conditions[1].reference");
    CHECK(listed.conditions[0].keys.reference == "blocks[1].conditions[1].reference");
    for (const Protocol* protocol : {&flat, &listed}) {
        CHECK(protocol->blocks[0].order == TrialOrder::rounds);
        CHECK(protocol->blocks[0].rest_every == 3);
        CHECK(protocol->conditions[0].axes.size() == 1);
        CHECK(protocol->conditions[0].block == 0);
        CHECK(protocol->places.count(protocol->blocks[0].key + "adjustment.axes.L") == 1);
    }
}

TEST_CASE("each block has its own procedure, pages, order and duration") {
    const Protocol protocol = parse_protocol(example_for_tasks() + R"(instructions: [{heading: A, text: a}]
blocks:
  - name: matches
    instructions: [{heading: B, text: b, keys: yes}]
    adjustment: {half: left, space: cone_contrast, starts: bracketing, time_limit: 2 min, axes: {L: {fine: 1 %, coarse: 2 %, start: 3 %}}}
    conditions: [{name: a, reference: grey, repeats: 2}]
    order: counterbalanced
  - name: rated
    task: {question: rating, categories: 5, half: left, space: cone_contrast, along: L, constant_stimuli: {levels: [0 %, 2 %], repeats: 4}}
    conditions: [{name: b, reference: pinkish, repeats: 1}]
order_of_blocks: latin_square
)",
                                             "example.yaml");
    REQUIRE(protocol.blocks.size() == 2);
    CHECK(protocol.pages.size() == 1);
    CHECK(protocol.blocks[0].pages.at(0).keys);
    CHECK(protocol.blocks[1].pages.empty());
    const auto& adjustment = std::get<AdjustmentPlan>(protocol.blocks[0].plan);
    CHECK(adjustment.bracketing);
    CHECK(adjustment.time_limit_s == 120.0);
    CHECK(protocol.blocks[0].order == TrialOrder::counterbalanced);
    CHECK(protocol.blocks[0].seconds_per_trial == 20.0);
    CHECK(std::holds_alternative<TaskPlan>(protocol.blocks[1].plan));
    CHECK(protocol.blocks[1].seconds_per_trial == 3.0);
    CHECK(protocol.block_order == TrialOrder::latin_square);
    CHECK(protocol.adjusted == Half::first);
    CHECK(protocol.conditions[1].block == 1);
    CHECK(planned_trials(protocol) == 2 + 8);
}

TEST_CASE("a flicker null has one axis, a bracket and an even number of settings") {
    const Protocol protocol = parse_protocol(example_for_tasks() + R"(flicker:
  {wave: square, exchange: lights, frequency: 15 Hz, onset: 1 s, largest_field: 2 deg, longest: 20 s, exclusion: any seizures}
flicker_null: {half: right, space: cone_contrast, axis: L+M+S, fine: 1 %, coarse: 5 %, bracket: 20 %, time_limit: 60 s}
conditions: [{name: a, reference: grey, test: pinkish, repeats: 4}]
seconds_per_setting: 30 s
)",
                                             "example.yaml");
    const auto& plan = std::get<FlickerNullPlan>(protocol.blocks.at(0).plan);
    CHECK(plan.bracket == 0.2);
    CHECK(plan.jitter == 0.0);
    CHECK(plan.time_limit_s == 60.0);
    const AdjustmentAxis& axis = protocol.conditions.at(0).axes.at(0);
    CHECK(axis.direction == Eigen::Vector3d(1, 1, 1));
    CHECK(axis.fine == 0.01);
    CHECK(axis.coarse == 0.05);
    CHECK(protocol.conditions[0].test->text() == "pinkish");
    CHECK(protocol.blocks[0].seconds_per_trial == 30.0);
}

TEST_CASE("crossed factors give every combination, the last factor changing fastest") {
    const Protocol protocol = parse_protocol(with_ring() + R"(task:
  {question: yes_no, half: right, space: cone_contrast, constant_stimuli: {levels: [1 %], repeats: 4}}
conditions:
  crossed:
    along: [L, S]
    reference: {light: grey, rosy: pinkish}
    test: [pinkish]
    ring: {uneven: {left: purple, right: grey}, even: grey}
  repeats: 2
)",
                                             "example.yaml");
    CHECK(names_of(protocol) ==
          "L, light, uneven\nL, light, even\nL, rosy, uneven\nL, rosy, even\n"
          "S, light, uneven\nS, light, even\nS, rosy, uneven\nS, rosy, even\n");
    const Condition& third = protocol.conditions[2];
    CHECK(third.axes.at(0).name == "L");
    CHECK(third.reference.text() == "pinkish");
    CHECK(third.test->text() == "pinkish");
    CHECK(third.repeats == 2);
    CHECK(third.rings->at(0).text() == "purple");
    CHECK(third.rings->at(1).text() == "grey");
    CHECK(third.keys.reference == "conditions.crossed.reference.rosy");
    CHECK(third.keys.rings[0] == "conditions.crossed.ring.uneven.left");
    CHECK(third.keys.along == "conditions.crossed.along[1]");
    CHECK(protocol.conditions[3].rings->at(0).text() == "grey");
    CHECK(protocol.conditions[3].keys.rings[1] == "conditions.crossed.ring.even");
    CHECK(third.line == protocol.places.at(third.keys.reference).line);
}

TEST_CASE("a single combination is named after its reference") {
    const Protocol protocol =
        parse_protocol(with_ring() + kAdjustment +
                           "conditions: {crossed: {reference: [grey], ring: [purple]}, repeats: 1}\n",
                       "example.yaml");
    CHECK(names_of(protocol) == "grey\n");
}

TEST_CASE("combinations are counted before they are made") {
    std::string levels;
    for (int i = 0; i < 32; ++i)
        levels += "n" + std::to_string(i) + ": grey, ";
    const std::string told = input_error_text([&] {
        parse_protocol(example_for_tasks() + kAdjustment + "conditions: {crossed: {reference: {" + levels +
                           "}, test: {" + levels + "}}, repeats: 1}\n",
                       "example.yaml");
    });
    CHECK(told.find("conditions.crossed: more than 1000 combinations; leave levels or a factor out") !=
          std::string::npos);
}

TEST_CASE("a ring that cannot be shown is told where the condition names it") {
    const std::string told = input_error_text([&] {
        setup_of(
            with_ring() + kAdjustment +
            "conditions: [{name: a, reference: grey, ring: {left: grey, right: xyY 0.3 0.3 at 900 cd/m2}, "
            "repeats: 1}]\n");
    });
    CHECK(
        told.find("conditions[1].ring.right: a ring of condition 'a' is out of the gamut of source 'lcd'") !=
        std::string::npos);
}
