#pragma once
// This header describes the scatter of settings on two coordinates: its ellipses, and whether its mean
// differs from a point.
//
// An ellipse holds the points x with (x - mean)' C^-1 (x - mean) <= k, where C is the sample covariance,
// divided by n - 1. For 95 %:
//     of settings          k = chi-square quantile of 2 degrees of freedom, as if C were known exactly
//     of the next setting  k = 2 (n - 1) (n + 1) / (n (n - 2)) F(2, n - 2)
//     of the mean          k = 2 (n - 1) / (n (n - 2)) F(2, n - 2)
// (Hotelling 1931, Annals of Mathematical Statistics 2, 360; from memory). With two degrees of freedom above,
// both distributions have closed forms: P(F > f) = (1 + 2 f / m)^(-m / 2), P(chi-square > x) = exp(-x / 2).

#include <Eigen/Core>
#include <optional>
#include <span>
#include <string>

namespace isoseam {

struct Ellipse {
    double semi_major = 0.0;
    double semi_minor = 0.0;
    // The angle of the major axis from the first coordinate, anticlockwise, from 0 to below 180.
    double angle_deg = 0.0;
    // This is true if the semi-axes are so nearly equal that the angle means nothing: they differ by less
    // than their standard error would be, which is about 1 / sqrt(n - 1) of themselves.
    bool nearly_round = false;
};

enum class EllipseKind { of_settings, of_next_setting, of_mean };
std::string to_string(EllipseKind kind);  // "settings", "next setting", "mean"

struct Scatter {
    std::size_t count = 0;
    Eigen::Vector2d mean;
    Eigen::Matrix2d covariance;  // by n - 1
    // Hotelling's test of the mean against the origin. There is none if the covariance is singular.
    struct Test {
        double t_squared = 0.0;
        double p = 1.0;
    };
    std::optional<Test> from_origin;
};

// There is no result for fewer than three points.
std::optional<Scatter> scatter_of(std::span<const Eigen::Vector2d> points);
// Gives the ellipse for this probability, which must be above 0 and below 1 (checked).
Ellipse ellipse_of(const Scatter& scatter, EllipseKind kind, double probability = 0.95);
// Gives the ellipse of one standard deviation.
Ellipse standard_ellipse(const Scatter& scatter);

}  // namespace isoseam
