#include "protocols/language/protocol.h"

#include <catch2/catch.hpp>
#include <map>

#include "protocols/course/run_order.h"
#include "protocols/language/durations.h"
#include "support/error_text.h"
#include "support/protocols/example_protocol.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

std::string order_text(const std::vector<Run>& trials) {
    std::string text;
    for (const Run& trial : trials)
        text += std::to_string(trial.condition) + "." + std::to_string(trial.repeat) + " ";
    return text;
}

}  // namespace

TEST_CASE("every seed gives all repeats of all conditions, numbered as they are shown") {
    const Protocol protocol = parse_protocol(kExample, "example.yaml");
    std::map<std::string, int> orders;
    for (std::uint64_t seed = 0; seed < 200; ++seed) {
        const std::vector<Run> trials = run_order(protocol, seed, "P01");
        REQUIRE(trials.size() == 8);
        std::vector<int> repeats(2, 0);
        for (std::size_t i = 0; i < trials.size(); ++i) {
            CHECK(trials[i].number == static_cast<int>(i) + 1);
            CHECK(trials[i].repeat == ++repeats[static_cast<std::size_t>(trials[i].condition)]);
        }
        CHECK(repeats == std::vector<int>{5, 3});
        CHECK(order_text(trials) == order_text(run_order(protocol, seed, "P01")));
        ++orders[order_text(trials)];
    }
    // 56 orders are possible. 200 fair draws leave 1.5 of them out on average; 11 or more with a chance below
    // 1e-6.
    CHECK(orders.size() > 45);
}

// Golden: a change here changes the trials of every session that is resumed or replayed.
TEST_CASE("the order of seed 12") {
    CHECK(order_text(run_order(parse_protocol(kExample, "example.yaml"), 12, "P01")) ==
          "0.1 0.2 1.1 1.2 0.3 0.4 1.3 0.5 ");
}

TEST_CASE("a listed order goes condition by condition, whatever the seed") {
    const Protocol protocol = parse_protocol(kExample + "order: listed\n", "example.yaml");
    CHECK(order_text(run_order(protocol, 1, "P01")) == "0.1 0.2 0.3 0.4 0.5 1.1 1.2 1.3 ");
    CHECK(order_text(run_order(protocol, 2, "P01")) == order_text(run_order(protocol, 1, "P01")));
}

TEST_CASE("the expected duration counts pages, adaptation, settings and rests") {
    const Protocol protocol =
        parse_protocol(kExample +
                           "adaptation: {light: grey, duration: 60 s, top_up: 3 s}\nrest_every: "
                           "4\nseconds_per_setting: 10 s\n"
                           "instructions: [{heading: a, text: b}, {heading: c, text: d}]\n",
                       "example.yaml");
    // Two pages of 15 s; 60 s; 7 top-ups of 3 s; 8 settings of 10 s; one rest of 30 s, since none follows the
    // last setting.
    CHECK(expected_duration_s(protocol) == 30.0 + 2 * 60.0 + 6 * 3.0 + 80.0 + 30.0);
    CHECK(expected_duration_s(parse_protocol(kExample, "example.yaml")) == 160.0);
}

TEST_CASE("the command line's calibration goes before the protocol's") {
    const Protocol protocol = parse_protocol(kExample, "example.yaml");
    CHECK(calibration_paths(protocol, {{"narrow", "mine.yaml"}}) ==
          std::vector<std::string>{kDemoLcd, "mine.yaml"});
    CHECK(input_error_text([&] {
              calibration_paths(protocol, {{"narow", "mine.yaml"}});
          }) ==
          "--calibration: the rig of example.yaml has no source 'narow'; did you mean 'narrow'? its sources "
          "are: lcd, "
          "narrow");
    const Protocol open = parse_protocol(example_with({{kDemoLcd, ""}}), "example.yaml");
    CHECK(calibration_paths(open, {{"lcd", "mine.yaml"}}) ==
          std::vector<std::string>{"mine.yaml", kDemoNarrowBand});
    CHECK(input_error_text([&] { calibration_paths(open, {}); }) ==
          "example.yaml:6: rig.sources.lcd: no calibration file for source 'lcd'; write its path after the "
          "name, or give "
          "it with the command: --calibration lcd=FILE");
}
