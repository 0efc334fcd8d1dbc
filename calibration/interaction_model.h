#pragma once
// This header models screens whose primaries do not add up: the light beyond the sum, and the way back from
// cone excitations.
//
//   light(x) = black + sum_i x_i primary_i + sum_k (product of x over k's primaries) interaction_k
//
// where x is the linear light of each primary. Model and inverse are our own; the inverse is a chord
// iteration, whose convergence is proved by Banach's fixed-point theorem (see contraction()).

#include <Eigen/Core>
#include <optional>
#include <vector>

#include "calibration/display_model.h"

namespace isoseam {

// Gives, for each interaction, the product of the linear light of its primaries.
Eigen::VectorXd interaction_products(const std::vector<Interaction>& interactions,
                                     const Eigen::VectorXd& linear);
// Row k says how product k changes with the linear light of each primary.
Eigen::MatrixXd interaction_slopes(const std::vector<Interaction>& interactions,
                                   const Eigen::VectorXd& linear);

// Finds the linear light of three primaries from three responses: the cone excitations of an eye, or the
// tristimulus values of CIE 1931.
class InteractionInverse {
  public:
    // ISOSEAM_CHECK: the display has three primaries.
    static InteractionInverse of_lms(const DisplayModel& display, const Observer& observer);
    static InteractionInverse of_xyz(const DisplayModel& display);

    // Let F(x) be the excitations and M the slope of F at half light. The step x - M^-1 (F(x) - target)
    // brings any two points of the unit cube nearer to each other by at least this factor (in the largest
    // component). The factor is exact: it is convex in each x_i, hence largest at a corner of the cube, and
    // all eight corners are computed. If it is below 1, there is at most one x for each target, and the
    // iteration finds it from anywhere. It is infinite if M is singular.
    double contraction() const { return contraction_; }
    // Contractions above this converge too slowly to be of use.
    static constexpr double kLargestContraction = 0.9;
    bool converges() const { return contraction_ <= kLargestContraction; }

    // Gives the linear light, to kTolerance in each component, or nullopt if no x in the unit cube gives this
    // target. ISOSEAM_CHECK: converges().
    static constexpr double kTolerance = 1e-9;
    std::optional<LinearDrive> linear_from_response(const Eigen::Vector3d& target) const;
    // Gives the point where the iteration comes to rest, to kTolerance in each component. If it is inside the
    // unit cube, it is the linear light. If it is outside, there is no solution, and its distance from the
    // cube says how far the target is out of reach. Components that are not finite mean that the target was
    // far beyond all reach.
    Eigen::Vector3d rest_point(const Eigen::Vector3d& target) const;
    // This is F: the same as DisplayModel::lms or xyz, but without integrating spectra again. The slopes of F
    // follow.
    Eigen::Vector3d response(const Eigen::Vector3d& linear) const;
    Eigen::Matrix3d slopes(const Eigen::Vector3d& linear) const;

  private:
    InteractionInverse(const DisplayModel& display, const Eigen::Matrix3Xd& response_from_linear,
                       const Eigen::Matrix3Xd& response_from_products, const Eigen::Vector3d& black);

    std::vector<Interaction> interactions_;
    Eigen::Matrix3d response_from_linear_;
    Eigen::Matrix3Xd response_from_products_;
    Eigen::Vector3d black_;
    Eigen::Matrix3d linear_from_response_;  // M^-1
    double contraction_ = 0.0;
};

// Says whether drives for wanted lights can be found at all: the primaries add up, or they are three and
// the iteration converges for the cones of this observer and for CIE 1931.
bool has_inverse(const DisplayModel& display, const Observer& observer);

}  // namespace isoseam
