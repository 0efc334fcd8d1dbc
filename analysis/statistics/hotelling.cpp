#include "analysis/statistics/hotelling.h"

#include <Eigen/Dense>

#include "analysis/statistics/distributions.h"
#include "base/errors.h"

namespace isoseam {
namespace {

// Below this share of the largest variance, in units of the diagonal, a direction has no scatter: rounding of
// doubles leaves about 1e-16 squared over the relative scatter, and settings scatter by 1e-5 or more.
constexpr double kSingular = 1e-12;

// Coordinates without scatter keep their zeros.
Eigen::MatrixXd in_units_of_diagonal(const Eigen::MatrixXd& covariance) {
    const Eigen::VectorXd inverse_sd = covariance.diagonal().unaryExpr(
        [](double variance) { return variance > 0.0 ? 1.0 / std::sqrt(variance) : 0.0; });
    return inverse_sd.asDiagonal() * covariance * inverse_sd.asDiagonal();
}

}  // namespace

int spread_dimensions(const Eigen::MatrixXd& covariance) {
    const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> axes(in_units_of_diagonal(covariance),
                                                              Eigen::EigenvaluesOnly);
    const double largest = axes.eigenvalues().maxCoeff();
    int dimensions = 0;
    for (const double variance : axes.eigenvalues())
        dimensions += variance > kSingular * largest ? 1 : 0;
    return dimensions;
}

std::optional<HotellingTest> hotelling_test(const Eigen::VectorXd& mean, const Eigen::MatrixXd& covariance,
                                            std::size_t count) {
    const Eigen::Index dimensions = mean.size();
    ISOSEAM_CHECK(dimensions > 0 && covariance.rows() == dimensions && covariance.cols() == dimensions);
    const auto d = static_cast<double>(dimensions);
    const auto n = static_cast<double>(count);
    if (!(n > d) || spread_dimensions(covariance) < dimensions)
        return std::nullopt;
    HotellingTest test;
    test.dimensions = static_cast<int>(dimensions);
    test.t_squared = n * mean.dot(covariance.ldlt().solve(mean));
    test.p = f_upper_p((n - d) / (d * (n - 1.0)) * test.t_squared, d, n - d);
    return test;
}

}  // namespace isoseam
