#include "analysis/statistics/scatter.h"

#include <Eigen/Dense>
#include <cmath>

#include "base/errors.h"

namespace isoseam {
namespace {

// Upper quantiles for two degrees of freedom (above).
double chi_square_quantile(double probability) {
    return -2.0 * std::log1p(-probability);
}

double f_quantile(double probability, double below) {
    return 0.5 * below * std::expm1(-2.0 / below * std::log1p(-probability));
}

Ellipse scaled(const Scatter& scatter, double k) {
    constexpr double kDegrees = 180.0 / 3.14159265358979323846;
    const Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d> axes(scatter.covariance);
    const Eigen::Vector2d variances = axes.eigenvalues().cwiseMax(0.0);  // rising; rounding may go below 0
    const Eigen::Vector2d major = axes.eigenvectors().col(1);
    Ellipse ellipse;
    ellipse.semi_major = std::sqrt(k * variances[1]);
    ellipse.semi_minor = std::sqrt(k * variances[0]);
    ellipse.angle_deg = std::atan2(major[1], major[0]) * kDegrees;
    if (ellipse.angle_deg < 0.0)
        ellipse.angle_deg += 180.0;
    if (ellipse.angle_deg >= 180.0)
        ellipse.angle_deg -= 180.0;
    const double spread = 1.0 / std::sqrt(static_cast<double>(scatter.count) - 1.0);
    ellipse.nearly_round = ellipse.semi_major - ellipse.semi_minor <= spread * ellipse.semi_major;
    return ellipse;
}

std::optional<Scatter::Test> test_of_origin(const Scatter& scatter) {
    // This is a share of the covariance in units of its own sizes, so that coordinates of different size do
    // not matter.
    constexpr double kSingular = 1e-12;
    const Eigen::Matrix2d& c = scatter.covariance;
    if (!(c.determinant() > kSingular * c(0, 0) * c(1, 1)))
        return std::nullopt;
    const auto n = static_cast<double>(scatter.count);
    Scatter::Test test;
    test.t_squared = n * scatter.mean.dot(c.ldlt().solve(scatter.mean));
    const double f = (n - 2.0) / (2.0 * (n - 1.0)) * test.t_squared;
    test.p = std::exp(-0.5 * (n - 2.0) * std::log1p(2.0 * f / (n - 2.0)));
    return test;
}

}  // namespace

std::string to_string(EllipseKind kind) {
    switch (kind) {
        case EllipseKind::of_settings:
            return "settings";
        case EllipseKind::of_next_setting:
            return "next setting";
        case EllipseKind::of_mean:
            return "mean";
    }
    ISOSEAM_CHECK(false, "unknown kind of ellipse");
    return {};
}

std::optional<Scatter> scatter_of(std::span<const Eigen::Vector2d> points) {
    constexpr std::size_t kFewest = 3;
    if (points.size() < kFewest)
        return std::nullopt;
    const auto n = static_cast<double>(points.size());
    Scatter scatter;
    scatter.count = points.size();
    Eigen::Vector2d sum = Eigen::Vector2d::Zero();
    for (const Eigen::Vector2d& point : points)
        sum += point - points.front();
    scatter.mean = points.front() + sum / n;
    scatter.covariance.setZero();
    for (const Eigen::Vector2d& point : points)
        scatter.covariance += (point - scatter.mean) * (point - scatter.mean).transpose();
    scatter.covariance /= n - 1.0;
    scatter.from_origin = test_of_origin(scatter);
    return scatter;
}

Ellipse ellipse_of(const Scatter& scatter, EllipseKind kind, double probability) {
    ISOSEAM_CHECK_GT(probability, 0.0);
    ISOSEAM_CHECK_LT(probability, 1.0);
    if (kind == EllipseKind::of_settings)
        return scaled(scatter, chi_square_quantile(probability));
    const auto n = static_cast<double>(scatter.count);
    const double of_mean = 2.0 * (n - 1.0) / (n * (n - 2.0)) * f_quantile(probability, n - 2.0);
    return scaled(scatter, kind == EllipseKind::of_mean ? of_mean : (n + 1.0) * of_mean);
}

Ellipse standard_ellipse(const Scatter& scatter) {
    return scaled(scatter, 1.0);
}

}  // namespace isoseam
