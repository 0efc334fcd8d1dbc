#include "analysis/statistics/pooled_slope.h"

#include <gsl/gsl_fit.h>

#include <catch2/catch.hpp>
#include <cmath>

#include "support/seeded_sets.h"

using namespace isoseam;

namespace {

using Groups = std::vector<std::vector<SlopePoint>>;

}  // namespace

// NIST Statistical Reference Datasets, linear regression, Norris: data and certified slope and its standard
// error (from memory; exact arithmetic on the data gives the certified digits).
TEST_CASE("slope and standard error are the certified ones of a NIST set") {
    const std::vector<SlopePoint> norris{
        {0.2, 0.1},     {337.4, 338.8}, {118.2, 118.1}, {884.6, 888.0}, {10.1, 9.2},    {226.5, 228.1},
        {666.3, 668.5}, {996.3, 998.5}, {448.6, 449.1}, {777.0, 778.9}, {558.2, 559.2}, {0.4, 0.3},
        {0.6, 0.1},     {775.5, 778.1}, {666.9, 668.8}, {338.0, 339.3}, {447.5, 448.9}, {11.6, 10.8},
        {556.0, 557.7}, {228.1, 228.3}, {995.8, 998.0}, {887.6, 888.8}, {120.2, 119.6}, {0.3, 0.3},
        {0.3, 0.6},     {556.8, 557.6}, {339.1, 339.3}, {887.2, 888.0}, {999.0, 998.5}, {779.0, 778.9},
        {11.1, 10.2},   {118.3, 117.6}, {229.2, 228.9}, {669.1, 668.4}, {448.9, 449.2}, {0.5, 0.2}};
    const std::optional<PooledSlope> slope = pooled_slope(Groups{norris});
    REQUIRE(slope);
    CHECK(slope->degrees == 34.0);
    CHECK(slope->slope == Approx(1.00211681802045).epsilon(1e-13));
    CHECK(slope->standard_error == Approx(0.429796848199937e-3).epsilon(1e-10));

    // The same by the GNU Scientific Library.
    std::vector<double> x;
    std::vector<double> y;
    for (const SlopePoint& point : norris) {
        x.push_back(point.x);
        y.push_back(point.y);
    }
    double c0 = 0.0, c1 = 0.0, c00 = 0.0, c01 = 0.0, c11 = 0.0, squares = 0.0;
    gsl_fit_linear(x.data(), 1, y.data(), 1, x.size(), &c0, &c1, &c00, &c01, &c11, &squares);
    CHECK(slope->slope == Approx(c1).epsilon(1e-12));
    CHECK(slope->standard_error == Approx(std::sqrt(c11)).epsilon(1e-9));
}

TEST_CASE("levels of groups do not count, and the interval holds the truth in 95 of 100 sets") {
    test::Draws draws(71);
    int held = 0;
    int found = 0;
    for (int set = 0; set < test::kSets; ++set) {
        Groups groups;
        for (int g = 0; g < 5; ++g) {
            const double level = 100.0 * draws.normal();
            const double centre = 50.0 * draws.normal();
            groups.emplace_back();
            for (int i = 0; i < 3 + g; ++i) {
                const double x = centre + draws.normal();
                groups.back().push_back({x, level + 0.3 * (x - centre) + draws.normal()});
            }
        }
        const std::optional<PooledSlope> slope = pooled_slope(groups);
        REQUIRE(slope);
        REQUIRE(slope->degrees == 19.0);
        held += slope->interval_95.holds(0.3) ? 1 : 0;
        found += slope->p < 0.05 ? 1 : 0;
        REQUIRE((slope->p < 0.05) == !slope->interval_95.holds(0.0));
    }
    INFO(held);
    CHECK(test::covers(held));
    CHECK(found > 100);
}

TEST_CASE("without different x, or with one group of two, there is no slope") {
    CHECK_FALSE(pooled_slope(Groups{}).has_value());
    CHECK_FALSE(pooled_slope(Groups{{{1.0, 2.0}}, {{2.0, 3.0}}}).has_value());
    CHECK_FALSE(pooled_slope(Groups{{{1.0, 2.0}, {2.0, 3.0}}}).has_value());
    CHECK_FALSE(pooled_slope(Groups{{{0.1, 2.0}, {0.1, 3.0}, {0.1, 4.0}}}).has_value());
    CHECK_FALSE(pooled_slope(Groups{{}, {}}).has_value());
}

TEST_CASE("settings that stay at their starts have a slope of 1 and nothing left over") {
    const std::optional<PooledSlope> slope =
        pooled_slope(Groups{{{0.25, 0.25}, {0.5, 0.5}, {-0.25, -0.25}}, {{1.0, 4.0}, {2.0, 5.0}}});
    REQUIRE(slope);
    CHECK(slope->slope == 1.0);
    CHECK(slope->standard_error == 0.0);
    CHECK(slope->p == 0.0);
}
