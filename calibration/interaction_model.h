#pragma once
// Screens that do not add their primaries up: the light beyond the sum, and the way back from cone
// excitations.
//
//   light(x) = black + sum_i x_i primary_i + sum_k (product of x over k's primaries) interaction_k
//
// with x the linear light of each primary. Model and inverse are our own; the inverse is a chord iteration,
// whose convergence is proved by Banach's fixed-point theorem (see contraction()).

#include <Eigen/Core>
#include <optional>
#include <vector>

#include "calibration/display_model.h"

namespace isoseam {

// The product of its primaries' linear light for each interaction.
Eigen::VectorXd interaction_products(const std::vector<Interaction>& interactions,
                                     const Eigen::VectorXd& linear);
// Row k: how product k changes with each primary's linear light.
Eigen::MatrixXd interaction_slopes(const std::vector<Interaction>& interactions,
                                   const Eigen::VectorXd& linear);

// From cone excitations to the linear light of three primaries.
class InteractionInverse {
  public:
    // ISOSEAM_CHECK: the display has three primaries.
    InteractionInverse(const DisplayModel& display, const Observer& observer);

    // With F(x) the excitations and M the slope of F at half light, the step x - M^-1 (F(x) - target) brings
    // any two points of the unit cube nearer to each other by at least this factor (largest component).
    // Exact: the factor is convex in each x_i, hence largest at a corner of the cube, and all eight are
    // looked at. Below 1 there is at most one x for each target, and the iteration finds it from anywhere.
    // Infinite where M is singular.
    double contraction() const { return contraction_; }
    // Contractions above this converge too slowly to be of use.
    static constexpr double kLargestContraction = 0.9;
    bool converges() const { return contraction_ <= kLargestContraction; }

    // The linear light, to kTolerance in each component; nullopt when no x in the unit cube gives this
    // target. ISOSEAM_CHECK: converges().
    static constexpr double kTolerance = 1e-9;
    std::optional<LinearDrive> linear_from_lms(const Lms& target) const;
    // F: the same as DisplayModel::lms for this observer, without integrating spectra again.
    Lms lms_from_linear(const LinearDrive& linear) const {
        return Lms::from_vector(excitations(linear.fractions));
    }

  private:
    Eigen::Vector3d excitations(const Eigen::Vector3d& linear) const;

    std::vector<Interaction> interactions_;
    Eigen::Matrix3d lms_from_linear_;
    Eigen::Matrix3Xd lms_from_products_;
    Eigen::Vector3d black_;
    Eigen::Matrix3d linear_from_lms_;  // M^-1
    double contraction_ = 0.0;
};

}  // namespace isoseam
