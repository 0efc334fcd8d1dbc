// nested_effects_test.cpp holds varying_slope() to lme4 and lmerTest.
#include "analysis/statistics/mean_slope.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "support/seeded_sets.h"
#include "support/tolerances.h"

using namespace isoseam;

namespace {

// The mean slope is 0; `own_sd` is the SD of participants' own slopes.
std::vector<ParticipantGroups> drawn(test::Draws& draws, int participants, int settings, double own_sd,
                                     bool even) {
    std::vector<ParticipantGroups> all;
    for (int participant = 0; participant < participants; ++participant) {
        const double slope = own_sd * draws.normal();
        all.emplace_back();
        for (int session = 0; session < 2; ++session) {
            const double level = 10.0 * draws.normal();
            const int own_settings = even ? settings : settings / 2 + 5 * (participant % 4);
            all.back().emplace_back();
            for (int i = 0; i < own_settings; ++i)
                all.back().back().push_back({static_cast<double>(i), level + slope * i + draws.normal()});
        }
    }
    return all;
}

}  // namespace

TEST_CASE("a mean slope of 0 is found not to be 0 in 3 to 7 of 100 sets, however slopes differ") {
    for (const double own_sd : {0.0, 0.05, 0.3}) {
        for (const bool even : {true, false}) {
            test::Draws draws(131);
            int as_units = 0;
            int as_repeats = 0;
            for (int set = 0; set < test::kSets; ++set) {
                const std::vector<ParticipantGroups> participants = drawn(draws, 10, 10, own_sd, even);
                const std::optional<PooledSlope> slope = mean_of_slopes(participants);
                REQUIRE(slope);
                REQUIRE(slope->degrees == 9.0);
                REQUIRE((slope->p < 0.05) == !slope->interval_95.holds(0.0));
                as_units += slope->p < 0.05 ? 1 : 0;
                std::vector<std::vector<SlopePoint>> all;
                for (const ParticipantGroups& groups : participants)
                    all.insert(all.end(), groups.begin(), groups.end());
                as_repeats += pooled_slope(all)->p < 0.05 ? 1 : 0;
            }
            INFO(own_sd << (even ? ", even" : ", uneven") << ": " << as_units << ", of repeats "
                        << as_repeats);
            CHECK(as_units <= 70);
            if (even || own_sd == 0.3)  // unequal variances make Student's t keep more than 95 in 100
                CHECK(as_units >= 30);
            if (own_sd == 0.3)
                CHECK(as_repeats > 150);
        }
    }
}

TEST_CASE("each participant has a slope by least squares, and those without one do not count") {
    const ParticipantGroups one{{{0.0, 5.0}, {2.0, 9.0}}};                               // 2
    const ParticipantGroups two{{{0.0, 1.0}, {1.0, 4.0}, {2.0, 5.0}}, {{7.0, 3.0}}};     // 2
    const ParticipantGroups three{{{1.0, 1.0}, {2.0, 6.0}}, {{1.0, 9.0}, {2.0, 14.0}}};  // 5
    const ParticipantGroups none{{{1.0, 1.0}, {1.0, 2.0}}, {}};
    const std::optional<PooledSlope> slope = mean_of_slopes(std::vector{one, none, two, three});
    REQUIRE(slope);
    CHECK(slope->slope == Approx(3.0).epsilon(test::kRoundingOfDoubles));
    CHECK(slope->degrees == 2.0);
    CHECK(slope->standard_error == Approx(1.0).epsilon(test::kRoundingOfDoubles));  // sqrt(3) / sqrt(3)
    CHECK_FALSE(mean_of_slopes(std::vector{one, none}).has_value());
    CHECK_FALSE(varying_slope(std::vector{one, none}).has_value());
}
