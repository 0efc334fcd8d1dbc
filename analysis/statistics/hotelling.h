#pragma once
// Hotelling's test of a mean against the origin, in any number of dimensions d:
//     T^2 = n mean' C^-1 mean,  (n - d) / (d (n - 1)) T^2 ~ F(d, n - d)
// with C the sample covariance by n - 1 (Hotelling 1931, Annals of Mathematical Statistics 2, 360; from
// memory). In one dimension it is Student's t test.

#include <Eigen/Core>
#include <cstddef>
#include <optional>

namespace isoseam {

struct HotellingTest {
    int dimensions = 0;
    double t_squared = 0.0;
    double p = 1.0;  // of a T^2 at least so large where the true mean is the origin
};

// None where there are no more settings than dimensions, or where the covariance, in units of its own
// diagonal, is singular.
std::optional<HotellingTest> hotelling_test(const Eigen::VectorXd& mean, const Eigen::MatrixXd& covariance,
                                            std::size_t count);

// How many directions the covariance spreads in, in units of its own diagonal.
int spread_dimensions(const Eigen::MatrixXd& covariance);

}  // namespace isoseam
