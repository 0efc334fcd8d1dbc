#include "base/medians.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_statistics_double.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <limits>
#include <stdexcept>

#include "base/random.h"

using namespace isoseam;

TEST_CASE("the median is the middle value, or the mean of the two in the middle, in any order") {
    CHECK(median({5.0}) == 5.0);
    CHECK(median({3.0, 1.0, 2.0}) == 2.0);
    CHECK(median({4.0, 1.0, 3.0, 2.0}) == 2.5);
    CHECK(median({1.0, 1.0, 7.0, 7.0}) == 4.0);
    const double infinity = std::numeric_limits<double>::infinity();
    CHECK(median({infinity, 1.0, -infinity}) == 1.0);
    CHECK_THROWS_AS(median({}), std::logic_error);
}

// GNU Scientific Library.
TEST_CASE("medians and median deviations are those of another library") {
    const RandomStream stream{31, 1};
    std::uint64_t draw = 0;
    for (std::size_t count = 1; count <= 60; ++count) {
        std::vector<double> values(count);
        for (double& value : values)
            value = stream.normal(draw++);
        std::vector<double> copy = values;
        const double theirs = gsl_stats_median(copy.data(), 1, count);
        REQUIRE(median(values) == theirs);
        std::vector<double> work(count);
        copy = values;
        REQUIRE(median_deviation(values, median(values)) ==
                gsl_stats_mad0(copy.data(), 1, count, work.data()));
    }
}

TEST_CASE("deviations are from the centre that is given, and leave the values as they are") {
    const std::vector<double> values{1.0, 2.0, 4.0, 8.0};
    CHECK(median_deviation(values, 0.0) == 3.0);
    CHECK(median_deviation(values, 10.0) == 7.0);
    CHECK(values == std::vector<double>{1.0, 2.0, 4.0, 8.0});
    CHECK_THROWS_AS(median_deviation({}, 0.0), std::logic_error);
}

// Of a normal distribution half the values lie within the 75 % quantile of it; four decimals are kept.
TEST_CASE("the factor from median deviation to standard deviation is that of a normal distribution") {
    constexpr double kFourDecimals = 5e-5;
    CHECK(kSdPerMedianDeviation ==
          Approx(1.0 / gsl_cdf_ugaussian_Pinv(0.75)).epsilon(0.0).margin(kFourDecimals));
}
