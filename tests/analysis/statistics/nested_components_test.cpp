#include "analysis/statistics/nested_components.h"

#include <gsl/gsl_cdf.h>

#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>

#include "analysis/statistics/variance_components.h"
#include "support/seeded_sets.h"
#include "support/tolerances.h"

using namespace isoseam;

namespace {

constexpr double kParticipantSd = 1.0;

NestedSettings drawn(test::Draws& draws, int participants, const std::vector<int>& sessions,
                     double session_sd) {
    NestedSettings settings;
    for (int participant = 0; participant < participants; ++participant) {
        const double own = kParticipantSd * draws.normal();
        for (std::size_t session = 0; session < sessions.size(); ++session) {
            const double day = own + session_sd * draws.normal();
            for (int i = 0; i < sessions[session]; ++i)
                settings.add(participant, static_cast<int>(session), day + draws.normal());
        }
    }
    return settings;
}

struct Held {
    int participant = 0;
    int session = 0;
    int setting = 0;
};

Held held_in_sets(int participants, const std::vector<int>& sessions, double session_sd) {
    test::Draws draws(121);
    Held held;
    for (int set = 0; set < test::kSets; ++set) {
        const auto intervals = nested_intervals(drawn(draws, participants, sessions, session_sd));
        REQUIRE(intervals);
        REQUIRE(intervals->session_95->low >= 0.0);
        held.participant += intervals->participant_95->holds(kParticipantSd * kParticipantSd) ? 1 : 0;
        held.session += intervals->session_95->holds(session_sd * session_sd) ? 1 : 0;
        held.setting += intervals->setting_95.holds(1.0) ? 1 : 0;
    }
    return held;
}

}  // namespace

TEST_CASE("intervals of nested variances hold the truth in 93 to 97 of 100 sets") {
    for (const double session_sd : {0.5, 1.0, 2.0}) {
        for (const std::vector<int>& sessions : {std::vector{6, 6, 6}, std::vector{4, 9, 7}}) {
            const Held held = held_in_sets(12, sessions, session_sd);
            INFO(session_sd << ": " << held.participant << " " << held.session << " " << held.setting);
            CHECK(test::covers(held.participant));
            CHECK(test::covers(held.session));
            CHECK(test::covers(held.setting));
        }
    }
}

TEST_CASE("with one session each, the intervals are those of variance_components.h") {
    test::Draws draws(122);
    NestedSettings nested;
    std::vector<std::vector<double>> values;
    for (int participant = 0; participant < 7; ++participant) {
        const double own = draws.normal();
        values.emplace_back();
        for (int i = 0; i < 3 + participant; ++i) {
            values.back().push_back(own + draws.normal());
            nested.add(participant, 0, values.back().back());
        }
    }
    const auto intervals = nested_intervals(nested);
    const auto components = variance_components(values);
    REQUIRE(intervals);
    REQUIRE(components);
    CHECK_FALSE(intervals->session_95.has_value());
    CHECK(intervals->participant_95->low ==
          Approx(components->between_95.low).epsilon(test::kRoundingOfDoubles));
    CHECK(intervals->participant_95->high ==
          Approx(components->between_95.high).epsilon(test::kRoundingOfDoubles));
    CHECK(intervals->setting_95.low == Approx(components->within_95.low).epsilon(test::kRoundingOfDoubles));
    CHECK(intervals->setting_95.high == Approx(components->within_95.high).epsilon(test::kRoundingOfDoubles));
}

TEST_CASE("sessions of one setting each are settings of their participants") {
    NestedSettings nested;
    const std::array values{1.0, 2.0, 4.0, 3.0, 7.0, 8.0};
    for (int i = 0; i < 6; ++i)
        nested.add(i / 3, i, values.at(static_cast<std::size_t>(i)));
    const auto intervals = nested_intervals(nested);
    REQUIRE(intervals);
    CHECK_FALSE(intervals->session_95.has_value());
    CHECK(intervals->participant_95.has_value());
    // Sums of squares 14/3 and 14 with 2 degrees of freedom each.
    const double squares = 14.0 / 3.0 + 14.0;
    CHECK(intervals->setting_95.low ==
          Approx(squares / gsl_cdf_chisq_Pinv(0.975, 4.0)).epsilon(test::kRoundingOfDoubles));
    CHECK(intervals->setting_95.high ==
          Approx(squares / gsl_cdf_chisq_Pinv(0.025, 4.0)).epsilon(test::kRoundingOfDoubles));
}

TEST_CASE("there are intervals just where there is a fit") {
    NestedSettings one_each;
    NestedSettings equal;
    for (int i = 0; i < 6; ++i) {
        one_each.add(i, 0, 0.3 * i);
        equal.add(i / 3, i, 0.25);
    }
    for (const NestedSettings* settings : {&one_each, &equal}) {
        CHECK_FALSE(nested_intervals(*settings).has_value());
        CHECK_FALSE(fit_nested(*settings).has_value());
    }
    CHECK_FALSE(nested_intervals(NestedSettings()).has_value());
}
