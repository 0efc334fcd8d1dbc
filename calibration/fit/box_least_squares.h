#pragma once
// A few parameters inside a box that make the sum of squared residuals small.
//
// It is our own because it sees each residual, not their sum alone: a tone curve takes it 25 evaluations,
// NLopt 2.7's SLSQP 66 and BOBYQA 84 or more, for the same sum of squares (tests/bench/optimisers.cpp).

#include <Eigen/Core>
#include <functional>

namespace isoseam {

struct Box {
    Eigen::VectorXd lowest, highest;
};

using Residuals = std::function<Eigen::VectorXd(const Eigen::VectorXd& parameters)>;

// Levenberg and Marquardt's damped steps with slopes by differences, each step drawn back into the box. From
// `start` (inside the box) to a local minimum. `residuals` must be finite in the whole box.
struct BoxMinimum {
    Eigen::VectorXd parameters;
    double sum_of_squares = 0.0;
};
BoxMinimum least_squares_in_box(const Residuals& residuals, const Eigen::VectorXd& start, const Box& box);

}  // namespace isoseam
