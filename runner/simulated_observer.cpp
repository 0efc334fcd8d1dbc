#include "runner/simulated_observer.h"

#include <Eigen/QR>
#include <cmath>

namespace isoseam {
namespace {

// When a hand gives an axis up: after going to and fro this often, or pressing in vain this often in a row.
constexpr int kTurns = 3;
constexpr int kStepsInVain = 25;

Eigen::Vector3d lms_seen(const Observer& eye, const DisplayModel& display, const LinearDrive& linear) {
    return display.lms(linear, eye).vector();
}

}  // namespace

Eigen::Vector3d contrast_seen(const Observer& eye, const DisplayModel& adjusted,
                              const LinearDrive& adjusted_linear, const DisplayModel& reference,
                              const LinearDrive& reference_linear) {
    const Eigen::Vector3d base = lms_seen(eye, reference, reference_linear);
    return (lms_seen(eye, adjusted, adjusted_linear) - base).cwiseQuotient(base);
}

SimulatedHand::SimulatedHand(const AdjustmentProblem& problem, const Observer& eye,
                             const Eigen::Vector3d& aim)
    : contrast_from_position_(3, static_cast<Eigen::Index>(problem.axes.size())), aim_(aim), last_seen_(aim) {
    const DisplayModel& display = problem.solver->display();
    const auto count = static_cast<Eigen::Index>(problem.axes.size());
    const Eigen::Vector3d at_match =
        lms_seen(eye, display, stimulus_at(problem, Eigen::VectorXd::Zero(count)).linear);
    for (Eigen::Index k = 0; k < count; ++k) {
        const AdjustmentAxis& axis = problem.axes[static_cast<std::size_t>(k)];
        Eigen::VectorXd position = Eigen::VectorXd::Zero(count);
        position[k] = axis.fine;
        const Eigen::Vector3d beside = lms_seen(eye, display, stimulus_at(problem, position).linear);
        contrast_from_position_.col(k) = (beside - at_match).cwiseQuotient(at_match) / axis.fine;
        axes_.push_back({.fine = axis.fine, .coarse = axis.coarse});
    }
}

bool SimulatedHand::Axis::done() const {
    return turns >= kTurns || in_vain >= kStepsInVain;
}

AdjustmentResponse SimulatedHand::next(const Eigen::Vector3d& seen) {
    if (last_axis_ >= 0) {
        int& in_vain = axes_[static_cast<std::size_t>(last_axis_)].in_vain;
        in_vain = seen == last_seen_ ? in_vain + 1 : 0;
    }
    last_seen_ = seen;
    const Eigen::VectorXd wanted = contrast_from_position_.colPivHouseholderQr().solve(aim_ - seen);
    int best = -1;
    double best_steps = 0.5;  // less than half a fine step cannot be improved
    for (std::size_t k = 0; k < axes_.size(); ++k) {
        const double steps = std::abs(wanted[static_cast<Eigen::Index>(k)]) / axes_[k].fine;
        if (!axes_[k].done() && steps > best_steps) {
            best = static_cast<int>(k);
            best_steps = steps;
        }
    }
    last_axis_ = best;
    if (best < 0)
        return {.kind = AdjustmentResponse::Kind::accept};
    Axis& axis = axes_[static_cast<std::size_t>(best)];
    const double distance = wanted[best];
    const int direction = distance > 0.0 ? +1 : -1;
    axis.turns += axis.last_direction == -direction ? 1 : 0;
    axis.last_direction = direction;
    const bool coarse = std::abs(distance) > 0.75 * axis.coarse;
    return {.kind = AdjustmentResponse::Kind::step, .axis = best, .direction = direction, .coarse = coarse};
}

}  // namespace isoseam
