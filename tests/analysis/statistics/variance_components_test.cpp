#include "analysis/statistics/variance_components.h"

#include <gsl/gsl_cdf.h>

#include <catch2/catch.hpp>
#include <cmath>

#include "support/seeded_sets.h"
#include "support/tolerances.h"

using namespace isoseam;

namespace {

using Values = std::vector<std::vector<double>>;

Values drawn(test::Draws& draws, const std::vector<int>& settings, double between_sd, double within_sd) {
    Values values;
    for (const int count : settings) {
        const double own = 0.02 + between_sd * draws.normal();
        values.emplace_back();
        for (int i = 0; i < count; ++i)
            values.back().push_back(own + within_sd * draws.normal());
    }
    return values;
}

struct Held {
    int between = 0;
    int within = 0;
    int mean = 0;
};

Held held_in_sets(std::uint64_t seed, const std::vector<int>& settings, double between_sd) {
    test::Draws draws(seed);
    Held held;
    for (int set = 0; set < test::kSets; ++set) {
        const auto result = variance_components(drawn(draws, settings, between_sd, 0.005));
        held.between += result->between_95.holds(between_sd * between_sd) ? 1 : 0;
        held.within += result->within_95.holds(0.005 * 0.005) ? 1 : 0;
        held.mean += result->mean_95.holds(0.02) ? 1 : 0;
    }
    return held;
}

}  // namespace

// Yields of dyestuff from six batches, five samples each (Davies, in Box & Tiao; from memory): variance
// between batches 1764.05, residual 2451.25.
TEST_CASE("components of a published one-way table") {
    const Values yields{{1545, 1440, 1440, 1520, 1580}, {1540, 1555, 1490, 1560, 1495},
                        {1595, 1550, 1605, 1510, 1560}, {1445, 1440, 1595, 1465, 1545},
                        {1595, 1630, 1515, 1635, 1625}, {1520, 1455, 1450, 1480, 1445}};
    const auto result = variance_components(yields);
    REQUIRE(result);
    CHECK(result->observers == 6);
    CHECK(result->settings == 30);
    CHECK(result->mean == Approx(1527.5).epsilon(test::kRoundingOfDoubles));
    CHECK(result->within == Approx(2451.25).epsilon(test::kRoundingOfDoubles));
    CHECK(result->between == Approx(1764.05).epsilon(test::kRoundingOfDoubles));
    // Mean squares 11271.5 and 2451.25 (the same source): F = 4.598 on 5 and 24 degrees of freedom.
    CHECK(result->p == Approx(gsl_cdf_fdist_Q(11271.5 / 2451.25, 5.0, 24.0)).epsilon(1e-9));
    CHECK(result->within_95.low == Approx(24.0 * 2451.25 / gsl_cdf_chisq_Pinv(0.975, 24.0)).epsilon(1e-9));
    CHECK(result->within_95.high == Approx(24.0 * 2451.25 / gsl_cdf_chisq_Pinv(0.025, 24.0)).epsilon(1e-9));
    CHECK(result->observers_differ());
}

TEST_CASE("the interval between observers is above 0 just where F says so") {
    // Of equal numbers of settings the interval's lower end is 0 where F is its 97.5 % quantile.
    test::Draws draws(61);
    int differ = 0;
    for (int set = 0; set < test::kSets; ++set) {
        const auto result = variance_components(drawn(draws, {4, 4, 4, 4, 4}, 0.003, 0.005));
        REQUIRE(result->observers_differ() == (result->p < 0.025));
        differ += result->observers_differ() ? 1 : 0;
    }
    CHECK(differ > 100);
    CHECK(differ < 900);
}

TEST_CASE("intervals of the components and of the mean hold the truth in 93 to 97 of 100 sets") {
    for (const double between_sd : {0.003, 0.01}) {
        const Held held = held_in_sets(62, {6, 6, 6, 6, 6, 6, 6, 6}, between_sd);
        INFO(between_sd << ": " << held.between << " " << held.within << " " << held.mean);
        CHECK(test::covers(held.between));
        CHECK(test::covers(held.within));
        CHECK(test::covers(held.mean));
    }
}

TEST_CASE("they do so where observers made different numbers of settings") {
    for (const double between_sd : {0.003, 0.01}) {
        const Held held = held_in_sets(63, {2, 3, 4, 6, 6, 8, 12, 12, 5, 1}, between_sd);
        INFO(between_sd << ": " << held.between << " " << held.within << " " << held.mean);
        CHECK(test::covers(held.between));
        CHECK(test::covers(held.within));
        CHECK(test::covers(held.mean));
    }
}

TEST_CASE("observers who do not differ are told so, with an estimate that may be below 0") {
    test::Draws draws(64);
    int differ = 0;
    int negative = 0;
    for (int set = 0; set < test::kSets; ++set) {
        const auto result = variance_components(drawn(draws, {5, 5, 5, 5, 5, 5}, 0.0, 0.005));
        differ += result->observers_differ() ? 1 : 0;
        negative += result->between < 0.0 ? 1 : 0;
        REQUIRE(result->between_95.low >= 0.0);
    }
    CHECK(differ < 45);  // 25, and four standard deviations of 4.9
    CHECK(negative > 400);
}

TEST_CASE("one observer, single settings and settings without scatter have no components") {
    CHECK_FALSE(variance_components(Values{{1.0, 2.0, 3.0}}).has_value());
    CHECK_FALSE(variance_components(Values{{1.0}, {2.0}, {3.0}}).has_value());
    CHECK_FALSE(variance_components(Values{{1.0, 1.0}, {2.0, 2.0}}).has_value());
}
