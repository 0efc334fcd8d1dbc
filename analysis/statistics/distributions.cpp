#include "analysis/statistics/distributions.h"

#include <fmt/format.h>

#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/fisher_f.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <boost/math/policies/policy.hpp>
#include <cmath>
#include <map>
#include <numbers>
#include <tuple>

#include "base/errors.h"

namespace isoseam {
namespace {

// Without long double, which takes several times as long for digits that nobody reads.
using Policy = boost::math::policies::policy<boost::math::policies::promote_double<false>>;
using Normal = boost::math::normal_distribution<double, Policy>;
using StudentT = boost::math::students_t_distribution<double, Policy>;
using ChiSquared = boost::math::chi_squared_distribution<double, Policy>;
using FisherF = boost::math::fisher_f_distribution<double, Policy>;

// Thousands of conditions with the same number of settings ask for the same few quantiles.
template <class Distribution, class... Degrees>
double quantile_of(double probability, Degrees... degrees) {
    constexpr std::size_t kMostRemembered = 1000;
    thread_local std::map<std::tuple<double, Degrees...>, double> remembered;
    const std::tuple key(probability, degrees...);
    const auto found = remembered.find(key);
    if (found != remembered.end())
        return found->second;
    if (remembered.size() == kMostRemembered)
        remembered.clear();
    return remembered[key] = boost::math::quantile(Distribution(degrees...), probability);
}

void check_probability(double probability) {
    ISOSEAM_CHECK_GT(probability, 0.0);
    ISOSEAM_CHECK_LT(probability, 1.0);
}

void check_degrees(double degrees) {
    ISOSEAM_CHECK(degrees > 0.0 && std::isfinite(degrees), fmt::format("{} degrees of freedom", degrees));
}

}  // namespace

double normal_share(double z) {
    return 0.5 * std::erfc(-z / std::numbers::sqrt2);
}

double normal_quantile(double probability) {
    check_probability(probability);
    return quantile_of<Normal>(probability);
}

double student_t_quantile(double probability, double degrees) {
    check_probability(probability);
    check_degrees(degrees);
    return quantile_of<StudentT>(probability, degrees);
}

double chi_square_quantile(double probability, double degrees) {
    check_probability(probability);
    check_degrees(degrees);
    return quantile_of<ChiSquared>(probability, degrees);
}

double f_quantile(double probability, double degrees_above, double degrees_below) {
    check_probability(probability);
    check_degrees(degrees_above);
    check_degrees(degrees_below);
    return quantile_of<FisherF>(probability, degrees_above, degrees_below);
}

double student_t_two_sided_p(double t, double degrees) {
    check_degrees(degrees);
    ISOSEAM_CHECK(!std::isnan(t));
    if (std::isinf(t))
        return 0.0;
    const StudentT distribution(degrees);
    return 2.0 * boost::math::cdf(boost::math::complement(distribution, std::abs(t)));
}

double chi_square_upper_p(double chi_square, double degrees) {
    check_degrees(degrees);
    ISOSEAM_CHECK_GE(chi_square, 0.0);
    if (std::isinf(chi_square))
        return 0.0;
    const ChiSquared distribution(degrees);
    return boost::math::cdf(boost::math::complement(distribution, chi_square));
}

double f_upper_p(double f, double degrees_above, double degrees_below) {
    check_degrees(degrees_above);
    check_degrees(degrees_below);
    ISOSEAM_CHECK_GE(f, 0.0);
    if (std::isinf(f))
        return 0.0;
    const FisherF distribution(degrees_above, degrees_below);
    return boost::math::cdf(boost::math::complement(distribution, f));
}

}  // namespace isoseam
