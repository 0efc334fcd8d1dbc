#include "analysis/statistics/estimate.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_statistics_double.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "support/seeded_sets.h"

using namespace isoseam;

namespace {

// 0.1 as the difference of doubles near 1e7, whose neighbours lie 1.9e-9 apart.
constexpr double kSpacingNearTenMillion = 2e-9;

}  // namespace

// NIST Statistical Reference Datasets, univariate: NumAcc1 to NumAcc4 and their certified values (from
// memory).
TEST_CASE("mean and SD keep their digits on the NIST accuracy sets") {
    const auto alternating = [](double first, double low, double high) {
        std::vector<double> values = {first};
        for (int i = 0; i < 500; ++i) {
            values.push_back(low);
            values.push_back(high);
        }
        return values;
    };
    const Estimate one = estimate(std::vector{10000001.0, 10000003.0, 10000002.0});
    CHECK(one.mean == 10000002.0);
    CHECK(one.sd == 1.0);
    const Estimate two = estimate(alternating(1.2, 1.1, 1.3));
    CHECK(two.mean == Approx(1.2).epsilon(1e-15));
    CHECK(two.sd.value() == Approx(0.1).epsilon(1e-14));
    const Estimate three = estimate(alternating(1000000.2, 1000000.1, 1000000.3));
    CHECK(three.mean == Approx(1000000.2).epsilon(1e-15));
    CHECK(three.sd.value() == Approx(0.1).margin(kSpacingNearTenMillion / 10));
    const Estimate four = estimate(alternating(10000000.2, 10000000.1, 10000000.3));
    CHECK(four.mean == Approx(10000000.2).epsilon(1e-15));
    CHECK(four.sd.value() == Approx(0.1).margin(kSpacingNearTenMillion));
}

TEST_CASE("one value has a mean, no SD and no interval, none has nothing") {
    CHECK(estimate(std::vector{3.5}).mean == 3.5);
    CHECK_FALSE(estimate(std::vector{3.5}).sd.has_value());
    CHECK_FALSE(estimate(std::vector{3.5}).interval_95.has_value());
    CHECK_THROWS_AS(estimate(std::vector<double>{}), std::logic_error);
}

// GNU Scientific Library.
TEST_CASE("the interval of a mean is Student's") {
    test::Draws draws(31);
    std::vector<double> values(9);
    for (double& value : values)
        value = 5.0 + 2.0 * draws.normal();
    const Estimate result = estimate(values);
    const double mean = gsl_stats_mean(values.data(), 1, values.size());
    const double reach = gsl_cdf_tdist_Pinv(0.975, 8.0) * gsl_stats_sd(values.data(), 1, values.size()) / 3.0;
    CHECK(result.interval_95->low == Approx(mean - reach).epsilon(1e-9));
    CHECK(result.interval_95->high == Approx(mean + reach).epsilon(1e-9));
}

TEST_CASE("the interval of a mean holds the truth in 95 of 100 sets") {
    test::Draws draws(32);
    int held = 0;
    for (int set = 0; set < test::kSets; ++set) {
        std::vector<double> values(6);
        for (double& value : values)
            value = -0.01 + 0.02 * draws.normal();
        held += estimate(values).interval_95->holds(-0.01) ? 1 : 0;
    }
    INFO(held);
    CHECK(test::covers(held));
}
