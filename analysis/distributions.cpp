#include "analysis/distributions.h"

#include <fmt/format.h>

#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/fisher_f.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>

#include "colorimetry/errors.h"

namespace isoseam {
namespace {

void check_probability(double probability) {
    ISOSEAM_CHECK(probability > 0.0 && probability < 1.0, fmt::format("probability {}", probability));
}

void check_degrees(double degrees) {
    ISOSEAM_CHECK(degrees > 0.0 && std::isfinite(degrees), fmt::format("{} degrees of freedom", degrees));
}

}  // namespace

double normal_quantile(double probability) {
    check_probability(probability);
    return boost::math::quantile(boost::math::normal_distribution<double>(), probability);
}

double student_t_quantile(double probability, double degrees) {
    check_probability(probability);
    check_degrees(degrees);
    return boost::math::quantile(boost::math::students_t_distribution<double>(degrees), probability);
}

double chi_square_quantile(double probability, double degrees) {
    check_probability(probability);
    check_degrees(degrees);
    return boost::math::quantile(boost::math::chi_squared_distribution<double>(degrees), probability);
}

double f_quantile(double probability, double degrees_above, double degrees_below) {
    check_probability(probability);
    check_degrees(degrees_above);
    check_degrees(degrees_below);
    return boost::math::quantile(boost::math::fisher_f_distribution<double>(degrees_above, degrees_below),
                                 probability);
}

double student_t_two_sided_p(double t, double degrees) {
    check_degrees(degrees);
    ISOSEAM_CHECK(!std::isnan(t));
    if (std::isinf(t))
        return 0.0;
    const boost::math::students_t_distribution<double> distribution(degrees);
    return 2.0 * boost::math::cdf(boost::math::complement(distribution, std::abs(t)));
}

double chi_square_upper_p(double chi_square, double degrees) {
    check_degrees(degrees);
    ISOSEAM_CHECK(chi_square >= 0.0, fmt::format("chi-square {}", chi_square));
    if (std::isinf(chi_square))
        return 0.0;
    const boost::math::chi_squared_distribution<double> distribution(degrees);
    return boost::math::cdf(boost::math::complement(distribution, chi_square));
}

double f_upper_p(double f, double degrees_above, double degrees_below) {
    check_degrees(degrees_above);
    check_degrees(degrees_below);
    ISOSEAM_CHECK(f >= 0.0, fmt::format("F {}", f));
    if (std::isinf(f))
        return 0.0;
    const boost::math::fisher_f_distribution<double> distribution(degrees_above, degrees_below);
    return boost::math::cdf(boost::math::complement(distribution, f));
}

}  // namespace isoseam
