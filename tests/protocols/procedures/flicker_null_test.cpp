#include "protocols/procedures/flicker_null.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "support/error_text.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

FlickerNullSpec example() {
    FlickerNullSpec spec;
    spec.centre = 1.0;
    spec.bracket = 0.4;
    spec.jitter = 0.1;
    spec.fine = 0.01;
    spec.coarse = 0.05;
    spec.lowest = 0.0;
    spec.highest = 2.0;
    spec.repeats = 6;
    return spec;
}

TrialResponse step(int direction, bool coarse = false, double elapsed_s = 0.0) {
    return {.kind = TrialResponse::Kind::step, .value = direction, .coarse = coarse, .elapsed_s = elapsed_s};
}

constexpr TrialResponse kAccept{.kind = TrialResponse::Kind::accept};

// An observer who steps towards a null and stops `short_of_null` before it.
FlickerNullState run(const FlickerNullSpec& spec, std::uint64_t seed, double null, double short_of_null) {
    FlickerNullState state = start(spec, seed);
    while (const auto request = next_trial(spec, state)) {
        const double away = null - request->level.front();
        state = respond(spec, std::move(state),
                        std::abs(away) <= short_of_null ? kAccept : step(away > 0.0 ? 1 : -1));
    }
    return state;
}

}  // namespace

TEST_CASE("settings start above and below in turn, by the stated amount, from a drawn side") {
    const FlickerNullSpec spec = example();
    int first_above = 0;
    for (std::uint64_t seed = 0; seed < 200; ++seed) {
        const FlickerNullResult found = result(spec, run(spec, seed, 1.0, 0.03));
        REQUIRE(found.settings.size() == 6);
        first_above += found.settings[0].from_above ? 1 : 0;
        for (std::size_t i = 0; i < 6; ++i) {
            const NullSetting& setting = found.settings[i];
            CHECK(setting.from_above == (found.settings[0].from_above == (i % 2 == 0)));
            const double offset = (setting.start - 1.0) * (setting.from_above ? 1.0 : -1.0);
            CHECK(std::abs(offset - 0.4) <= 0.1);
        }
        CHECK(found.settings[0].start != found.settings[2].start);
    }
    CHECK(std::abs(first_above - 100) < 36);  // five SD
}

TEST_CASE("stopping short of the null from both sides cancels in the mean and shows in the difference") {
    const FlickerNullSpec spec = example();
    const FlickerNullResult found = result(spec, run(spec, 3, 1.1, 0.05));
    CHECK(found.accepted == 6);
    // Each setting lies within one fine step inside 0.05 of the null.
    CHECK(*found.mean_from_above == Approx(1.145).margin(0.006));
    CHECK(*found.mean_from_below == Approx(1.055).margin(0.006));
    CHECK(*found.mean == Approx(1.1).margin(0.006));
    CHECK(*found.sd > 0.04);
}

TEST_CASE(
    "steps there and back end at the very same level, and steps beyond the limits are refused and counted") {
    const FlickerNullSpec spec = example();
    FlickerNullState state = start(spec, 1);
    const double first = state.settings[0].level;
    for (int i = 0; i < 7; ++i)
        state = respond(spec, std::move(state), step(1, i % 2 == 0));
    for (int i = 0; i < 7; ++i)
        state = respond(spec, std::move(state), step(-1, i % 2 == 0));
    CHECK(state.settings[0].level == first);
    CHECK(state.settings[0].steps == 14);
    for (int i = 0; i < 60; ++i) {
        state = respond(spec, std::move(state), step(-1, true));
        CHECK(next_trial(spec, state)->level.front() >= spec.lowest);
    }
    CHECK(state.settings[0].refused_steps > 20);
    CHECK(state.settings[0].steps + state.settings[0].refused_steps == 74);
}

TEST_CASE("a setting that takes too long ends without a value, and what came too late is not taken") {
    FlickerNullSpec spec = example();
    spec.repeats = 2;
    spec.time_limit_s = 30.0;
    FlickerNullState state = start(spec, 1);
    state = respond(spec, std::move(state), step(1, false, 30.0));  // just in time
    CHECK(state.settings[0].steps == 1);
    TrialResponse late = kAccept;
    late.elapsed_s = 30.5;
    state = respond(spec, std::move(state), late);
    CHECK(next_trial(spec, state)->number == 2);
    TrialResponse waiting{.kind = TrialResponse::Kind::waiting, .elapsed_s = 29.0};
    state = respond(spec, std::move(state), waiting);
    CHECK(next_trial(spec, state).has_value());
    waiting.elapsed_s = 31.0;
    state = respond(spec, std::move(state), waiting);
    CHECK_FALSE(next_trial(spec, state).has_value());
    const FlickerNullResult found = result(spec, state);
    CHECK(found.timed_out == 2);
    CHECK(found.accepted == 0);
    CHECK_FALSE(found.mean.has_value());
    waiting.elapsed_s = std::numeric_limits<double>::quiet_NaN();
    CHECK_THROWS_AS(respond(spec, start(spec, 1), waiting), std::logic_error);
}

TEST_CASE("without a setting from one side there is no mean") {
    FlickerNullSpec spec = example();
    spec.repeats = 2;
    spec.time_limit_s = 1.0;
    FlickerNullState state = respond(spec, start(spec, 1), kAccept);
    state = respond(spec, std::move(state), {.kind = TrialResponse::Kind::waiting, .elapsed_s = 2.0});
    const FlickerNullResult found = result(spec, state);
    CHECK(found.accepted == 1);
    CHECK(found.mean_from_above.has_value() != found.mean_from_below.has_value());
    CHECK_FALSE(found.mean.has_value());
}

TEST_CASE("all faults of an adjustment to least flicker are told together") {
    FlickerNullSpec spec = example();
    spec.bracket = 1.5;
    spec.jitter = 2.0;
    spec.fine = 0.1;
    spec.repeats = 3;
    spec.time_limit_s = 0.0;
    CHECK(input_error_text([&] { return start(spec, 1); }) ==
          "jitter: 2 about the starting points; write 0 or more, less than bracket\n"
          "coarse: 0.05, the fine step is 0.1; write a number no smaller than the fine step\n"
          "lowest: starting points reach down to -2.5, beyond 0; write a smaller number or bracket\n"
          "highest: starting points reach up to 4.5, beyond 2; write a larger number or a smaller bracket\n"
          "repeats: 3 settings cannot be shared between two sides; write an even number\n"
          "time_limit: 0 s; write a time above 0 s");
    spec = example();
    spec.centre = std::numeric_limits<double>::quiet_NaN();
    CHECK(faults(spec).size() == 3);  // neither limit holds either
}
