// Against the GNU Scientific Library, which computes them by other code.
#include "analysis/statistics/distributions.h"

#include <gsl/gsl_cdf.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

using namespace isoseam;

namespace {

// Both libraries claim more digits; what is left is theirs together.
constexpr double kTwoLibraries = 1e-9;

bool alike(double a, double b) {
    return std::abs(a - b) <= kTwoLibraries * std::max(1.0, std::abs(b));
}

}  // namespace

TEST_CASE("quantiles and tails are those of an independent library") {
    for (const double p : {0.001, 0.025, 0.4, 0.5, 0.95, 0.975, 0.9999}) {
        CHECK(alike(normal_quantile(p), gsl_cdf_ugaussian_Pinv(p)));
        for (const double degrees : {1.0, 2.0, 5.0, 30.0, 1e4}) {
            INFO(p << " " << degrees);
            CHECK(alike(student_t_quantile(p, degrees), gsl_cdf_tdist_Pinv(p, degrees)));
            CHECK(alike(chi_square_quantile(p, degrees), gsl_cdf_chisq_Pinv(p, degrees)));
            for (const double below : {1.0, 4.0, 50.0, 1e3})
                CHECK(alike(gsl_cdf_fdist_P(f_quantile(p, degrees, below), degrees, below), p));
        }
    }
    for (const double x : {0.0, 0.3, 1.0, 4.0, 9.0}) {
        for (const double degrees : {1.0, 7.0, 120.0}) {
            INFO(x << " " << degrees);
            CHECK(student_t_two_sided_p(-x, degrees) ==
                  Approx(2.0 * gsl_cdf_tdist_Q(x, degrees)).epsilon(kTwoLibraries));
            CHECK(chi_square_upper_p(x, degrees) ==
                  Approx(gsl_cdf_chisq_Q(x, degrees)).epsilon(kTwoLibraries));
            CHECK(f_upper_p(x, degrees, 9.0) ==
                  Approx(gsl_cdf_fdist_Q(x, degrees, 9.0)).epsilon(kTwoLibraries));
        }
    }
}

TEST_CASE("values beyond all measure have no tail, and what has no distribution is refused") {
    const double infinity = std::numeric_limits<double>::infinity();
    const double nan = std::numeric_limits<double>::quiet_NaN();
    CHECK(student_t_two_sided_p(infinity, 3.0) == 0.0);
    CHECK(f_upper_p(infinity, 3.0, 4.0) == 0.0);
    CHECK(chi_square_upper_p(infinity, 3.0) == 0.0);
    CHECK_THROWS_AS(student_t_quantile(1.0, 3.0), std::logic_error);
    CHECK_THROWS_AS(student_t_quantile(nan, 3.0), std::logic_error);
    CHECK_THROWS_AS(student_t_quantile(0.5, 0.0), std::logic_error);
    CHECK_THROWS_AS(chi_square_quantile(0.5, nan), std::logic_error);
    CHECK_THROWS_AS(f_upper_p(-1.0, 2.0, 3.0), std::logic_error);
    CHECK_THROWS_AS(f_upper_p(nan, 2.0, 3.0), std::logic_error);
    CHECK_THROWS_AS(student_t_two_sided_p(nan, 3.0), std::logic_error);
}
