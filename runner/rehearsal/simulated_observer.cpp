#include "runner/rehearsal/simulated_observer.h"

#include <cmath>

#include "base/errors.h"
#include "calibration/interaction_model.h"

namespace isoseam {
namespace {

// A hand gives an axis up after going to and fro this often, or after pressing in vain this often in a row.
constexpr int kTurns = 3;
constexpr int kStepsInVain = 25;

}  // namespace

EyeOnScreen::EyeOnScreen(const Observer& eye, const DisplayModel& display)
    : display_(&display),
      lms_from_linear_(display.lms_from_linear(eye)),
      lms_from_products_(3, static_cast<Eigen::Index>(display.calibration().interactions.size())),
      lms_black_(display.black_lms(eye).vector()) {
    for (Eigen::Index k = 0; k < lms_from_products_.cols(); ++k) {
        const Interaction& interaction = display.calibration().interactions[static_cast<std::size_t>(k)];
        lms_from_products_.col(k) = eye.excitations(interaction.spectrum).vector();
    }
}

Eigen::Vector3d EyeOnScreen::lms(const LinearDrive& linear) const {
    ISOSEAM_CHECK(linear.fractions.size() == lms_from_linear_.cols());
    Eigen::Vector3d sum = lms_black_ + lms_from_linear_ * linear.fractions;
    if (lms_from_products_.cols() > 0) {
        sum +=
            lms_from_products_ * interaction_products(display_->calibration().interactions, linear.fractions);
    }
    return sum;
}

Eigen::Vector3d contrast_between(const Eigen::Vector3d& lms, const Eigen::Vector3d& reference) {
    return (lms - reference).cwiseQuotient(reference);
}

Eigen::Vector3d contrast_seen(const Observer& eye, const DisplayModel& adjusted,
                              const LinearDrive& adjusted_linear, const DisplayModel& reference,
                              const LinearDrive& reference_linear) {
    return contrast_between(adjusted.lms(adjusted_linear, eye).vector(),
                            reference.lms(reference_linear, eye).vector());
}

SimulatedHand::SimulatedHand(const AdjustmentProblem& problem, const EyeOnScreen& eye,
                             const Eigen::Vector3d& aim)
    : aim_(aim), last_seen_(aim) {
    const auto count = static_cast<Eigen::Index>(problem.axes.size());
    Eigen::MatrixXd contrast_from_position(3, count);
    const Eigen::Vector3d at_match = eye.lms(stimulus_at(problem, Eigen::VectorXd::Zero(count)).linear);
    for (Eigen::Index k = 0; k < count; ++k) {
        const AdjustmentAxis& axis = problem.axes[static_cast<std::size_t>(k)];
        Eigen::VectorXd position = Eigen::VectorXd::Zero(count);
        position[k] = axis.fine;
        const Eigen::Vector3d beside = eye.lms(stimulus_at(problem, position).linear);
        contrast_from_position.col(k) = contrast_between(beside, at_match) / axis.fine;
        axes_.push_back({.fine = axis.fine, .coarse = axis.coarse});
    }
    contrast_from_position_.compute(contrast_from_position);
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
    const Eigen::VectorXd wanted = contrast_from_position_.solve(aim_ - seen);
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
