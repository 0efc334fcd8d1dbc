#include "calibration/fit/box_least_squares.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <cmath>

#include "base/errors.h"

namespace isoseam {
namespace {

// Share of the box's width by which a parameter is moved for a slope: near the cube root of a double's
// precision.
constexpr double kSlopeStep = 1e-6;
constexpr int kMostSteps = 100;

Eigen::MatrixXd slopes(const Residuals& residuals, const Eigen::VectorXd& at, const Eigen::VectorXd& value,
                       const Box& box) {
    Eigen::MatrixXd jacobian(value.size(), at.size());
    for (Eigen::Index i = 0; i < at.size(); ++i) {
        Eigen::VectorXd moved = at;
        const double step = kSlopeStep * (box.highest[i] - box.lowest[i]);
        moved[i] = at[i] + step <= box.highest[i] ? at[i] + step : at[i] - step;
        jacobian.col(i) = (residuals(moved) - value) / (moved[i] - at[i]);
    }
    return jacobian;
}

}  // namespace

BoxMinimum least_squares_in_box(const Residuals& residuals, const Eigen::VectorXd& start, const Box& box) {
    Eigen::VectorXd at = start.cwiseMax(box.lowest).cwiseMin(box.highest);
    Eigen::VectorXd value = residuals(at);
    double sum = value.squaredNorm();
    double damping = 1e-3;
    constexpr double kStiffest = 1e12;
    constexpr double kStill = 1e-10;  // of the sum of squares
    for (int step = 0; step < kMostSteps && damping < kStiffest; ++step) {
        const Eigen::MatrixXd jacobian = slopes(residuals, at, value, box);
        const Eigen::VectorXd gradient = jacobian.transpose() * value;
        Eigen::MatrixXd normal = jacobian.transpose() * jacobian;
        const Eigen::VectorXd diagonal = normal.diagonal();
        double gained = -1.0;
        while (gained < 0.0 && damping < kStiffest) {
            normal.diagonal() = diagonal * (1.0 + damping) +
                                Eigen::VectorXd::Constant(at.size(), 1e-14 * diagonal.maxCoeff() + 1e-300);
            const Eigen::VectorXd next =
                (at - normal.ldlt().solve(gradient)).cwiseMax(box.lowest).cwiseMin(box.highest);
            const Eigen::VectorXd next_value = residuals(next);
            const double next_sum = next_value.squaredNorm();
            if (next_sum <= sum) {
                gained = sum - next_sum;
                at = next;
                value = next_value;
                sum = next_sum;
                damping = std::max(1e-9, damping * 0.1);
            } else {
                damping *= 10.0;
            }
        }
        if (!(gained > kStill * sum))
            break;
    }
    return {at, sum};
}

}  // namespace isoseam
