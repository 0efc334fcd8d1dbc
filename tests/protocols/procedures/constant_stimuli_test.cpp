#include "protocols/procedures/constant_stimuli.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <map>

#include "support/error_text.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

const ConstantStimuliSpec kPlane{{{0.0, 1.0}, {1.0, 0.0}, {1.0, 1.0}, {-1.0, 0.5}}, 6, 2};

std::vector<Level> levels_of_run(const ConstantStimuliSpec& spec, std::uint64_t seed) {
    std::vector<Level> asked;
    ConstantStimuliState state = start(spec, seed);
    while (const auto request = next_trial(spec, state)) {
        asked.push_back(request->level);
        state = respond(spec, state, true);
    }
    return asked;
}

}  // namespace

TEST_CASE("every block shows every level equally often, in an order of its own") {
    const std::vector<Level> asked = levels_of_run(kPlane, 3);
    REQUIRE(asked.size() == 24);
    for (std::size_t block = 0; block < 3; ++block) {
        std::map<Level, int> shown;
        for (std::size_t i = 0; i < 8; ++i)
            ++shown[asked[8 * block + i]];
        CHECK(shown.size() == 4);
        for (const auto& [level, times] : shown)
            CHECK(times == 2);
    }
    CHECK_FALSE(std::equal(asked.begin(), asked.begin() + 8, asked.begin() + 8));
    CHECK(levels_of_run(kPlane, 3) == asked);
    CHECK(levels_of_run(kPlane, 4) != asked);
}

TEST_CASE("answers are counted at their level, and an answer that is no success or failure as shown only") {
    ConstantStimuliState state = start(kPlane, 5);
    int number = 0;
    while (const auto request = next_trial(kPlane, state)) {
        std::optional<bool> success;
        if (number++ % 2 == 0)
            success = request->level.front() > 0.5;
        state = respond(kPlane, state, success);
    }
    int judged = 0;
    for (const ConstantStimuliResult::Row& row : result(kPlane, state).rows) {
        CHECK(row.trials == 6);
        CHECK(row.successes == (row.level.front() > 0.5 ? row.judged : 0));
        judged += row.judged;
    }
    CHECK(judged == 12);
    CHECK_THROWS_AS(respond(kPlane, state, true), std::logic_error);
}

TEST_CASE("all faults of constant stimuli are told together") {
    CHECK(input_error_text([] {
              return start(ConstantStimuliSpec{{{1.0}, {1.0, 2.0}, {1.0}}, 5, 2}, 1);
          }) ==
          "levels[1]: not one to three finite numbers, as many as in the first level; give every level the "
          "same dimensions\n"
          "levels[2]: the same as level 1; write each level once, and `repeats` for how often it is shown\n"
          "repeats_in_block: 5 repeats do not make blocks of 2; write a divisor of repeats");
    CHECK(input_error_text([] {
              return start(ConstantStimuliSpec{{}, 0, 0}, 1);
          }) ==
          "levels: there is no level; write at least one\n"
          "repeats: 0 repeats; write at least 1\n"
          "repeats_in_block: 0 repeats do not make blocks of 0; write a divisor of repeats");
}
