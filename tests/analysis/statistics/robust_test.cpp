#include "analysis/statistics/robust.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <vector>

#include "analysis/statistics/estimate.h"
#include "support/seeded_sets.h"
#include "support/tolerances.h"

using namespace isoseam;

namespace {

std::vector<double> normal_set(test::Draws& draws, std::size_t count) {
    std::vector<double> values(count);
    for (double& value : values)
        value = draws.normal();
    return values;
}

}  // namespace

TEST_CASE("a set worked out by hand") {
    // Median 3, deviations 1.5 1 0 1 97: their median 1, so the scale is 1.4826.
    const std::vector<double> values{1.5, 2.0, 3.0, 4.0, 100.0};
    const std::optional<RobustEstimate> robust = robust_estimate(values);
    REQUIRE(robust);
    CHECK(robust->scale == Approx(1.4826).epsilon(test::kRoundingOfDoubles));
    // Only 100 is clipped: (1.5 + 2 + 3 + 4 - 4 m) / 1.4826 + 1.345 = 0.
    CHECK(robust->location == Approx((10.5 + 1.345 * 1.4826) / 4.0).epsilon(test::kFiveDigits));
    const std::vector<FarValue> far = far_values(values, *robust);
    REQUIRE(far.size() == 1);
    CHECK(far[0].index == 4);
    CHECK(far[0].scales == Approx((100.0 - robust->location) / 1.4826).epsilon(test::kFiveDigits));
}

// GNU Scientific Library. Efficiency of Huber's estimate for normal values: (P(|x| < k))^2 / E(psi^2).
TEST_CASE("the constants are those of normal values") {
    CHECK(1.0 / gsl_cdf_ugaussian_Pinv(0.75) == Approx(1.4826).epsilon(1e-5));
    const double k = 1.345;
    const double within = 1.0 - 2.0 * gsl_cdf_ugaussian_Q(k);
    const double psi_squared =
        within - 2.0 * k * gsl_ran_ugaussian_pdf(k) + 2.0 * k * k * gsl_cdf_ugaussian_Q(k);
    CHECK(within * within / psi_squared == Approx(0.95).epsilon(1e-4));
}

TEST_CASE("shifts and units carry over, and a value however far off moves the location little") {
    test::Draws draws(51);
    std::vector<double> values = normal_set(draws, 12);
    const RobustEstimate plain = *robust_estimate(values);
    std::vector<double> other;
    for (const double value : values)
        other.push_back(0.7 - 0.003 * value);
    const RobustEstimate moved = *robust_estimate(other);
    CHECK(moved.location == Approx(0.7 - 0.003 * plain.location).epsilon(test::kFiveDigits));
    CHECK(moved.scale == Approx(0.003 * plain.scale).epsilon(test::kFiveDigits));
    CHECK(moved.standard_error == Approx(0.003 * plain.standard_error).epsilon(test::kFiveDigits));
    values.push_back(1e9);
    const RobustEstimate with_one_off = *robust_estimate(values);
    CHECK(std::abs(with_one_off.location - plain.location) < plain.scale);
    CHECK(far_values(values, with_one_off).back().index == 12);
}

TEST_CASE("few values, and values that are half alike, have no robust estimate") {
    CHECK_FALSE(robust_estimate(std::vector{1.0, 2.0, 3.0, 4.0}).has_value());
    CHECK_FALSE(robust_estimate(std::vector{0.5, 0.5, 0.5, 0.5, 2.0}).has_value());
    CHECK_THROWS_AS(far_limit(4), std::logic_error);
}

TEST_CASE("of 100 sets of normal values 5 have one beyond the limit, however long they are") {
    test::Draws draws(52);
    for (const std::size_t count : {5U, 6U, 9U, 17U, 24U, 60U, 250U, 2000U}) {
        const int sets = count > 500 ? 400 : 4000;
        int named = 0;
        for (int set = 0; set < sets; ++set) {
            const std::vector<double> values = normal_set(draws, count);
            named += far_values(values, *robust_estimate(values)).empty() ? 0 : 1;
        }
        // Five standard deviations of the binomial: one run in two million fails by chance.
        const double bound = 5.0 * std::sqrt(0.05 * 0.95 / sets);
        INFO(count << ": " << named << " of " << sets);
        CHECK(std::abs(static_cast<double>(named) / sets - 0.05) < bound);
    }
}

TEST_CASE("the standard error tells the scatter of the location") {
    test::Draws draws(53);
    std::vector<double> locations;
    double squares = 0.0;
    for (int set = 0; set < 2000; ++set) {
        const RobustEstimate robust = *robust_estimate(normal_set(draws, 40));
        locations.push_back(robust.location);
        squares += robust.standard_error * robust.standard_error / 2000.0;
    }
    // The SD of 2000 values is known to 1.6 %; asymptotic errors add as much at 40 values.
    CHECK(std::sqrt(squares) == Approx(*estimate(locations).sd).epsilon(0.08));
}
