#pragma once
// Hotelling's test compares a mean with the origin, in any number of dimensions d:
//     T^2 = n mean' C^-1 mean,  (n - d) / (d (n - 1)) T^2 ~ F(d, n - d)
// where C is the sample covariance, divided by n - 1 (Hotelling 1931, Annals of Mathematical Statistics 2,
// 360; from memory). In one dimension it is Student's t test.

#include <Eigen/Core>
#include <cstddef>
#include <optional>

namespace isoseam {

struct HotellingTest {
    int dimensions = 0;
    double t_squared = 0.0;
    // The probability of a T^2 that is at least so large if the true mean is the origin.
    double p = 1.0;
};

// There is no test if there are no more settings than dimensions, or if the covariance, in units of its own
// diagonal, is singular.
std::optional<HotellingTest> hotelling_test(const Eigen::VectorXd& mean, const Eigen::MatrixXd& covariance,
                                            std::size_t count);

// Says in how many directions the covariance spreads, in units of its own diagonal.
int spread_dimensions(const Eigen::MatrixXd& covariance);

}  // namespace isoseam
