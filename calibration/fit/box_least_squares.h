#pragma once
// This header finds a few parameters inside a box that make the sum of squared residuals small.
//
// It is our own because it uses each residual and not only their sum: a tone curve takes it 25 evaluations,
// while NLopt 2.7's SLSQP takes 66 and BOBYQA 84 or more for the same sum of squares
// (tests/bench/optimisers.cpp).

#include <Eigen/Core>
#include <functional>

namespace isoseam {

struct Box {
    Eigen::VectorXd lowest, highest;
};

using Residuals = std::function<Eigen::VectorXd(const Eigen::VectorXd& parameters)>;

// The search takes Levenberg and Marquardt's damped steps, with slopes from differences, and draws each step
// back into the box. It goes from `start` (inside the box) to a local minimum. `residuals` must be finite in
// the whole box.
struct BoxMinimum {
    Eigen::VectorXd parameters;
    double sum_of_squares = 0.0;
};
BoxMinimum least_squares_in_box(const Residuals& residuals, const Eigen::VectorXd& start, const Box& box);

}  // namespace isoseam
