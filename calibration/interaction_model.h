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

// Finds the linear light of three primaries from three responses: the cone excitations of an eye, or the
// tristimulus values of CIE 1931.
class InteractionInverse {
  public:
    // ISOSEAM_CHECK: the display has three primaries.
    static InteractionInverse of_lms(const DisplayModel& display, const Observer& observer);
    static InteractionInverse of_xyz(const DisplayModel& display);

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
    std::optional<LinearDrive> linear_from_response(const Eigen::Vector3d& target) const;
    // Where the iteration comes to rest, to kTolerance in each component. Inside the unit cube it is the
    // linear light; outside there is none, and how far outside tells by how much. Components that are not
    // finite: the target was beyond all measure.
    Eigen::Vector3d rest_point(const Eigen::Vector3d& target) const;
    // F: the same as DisplayModel::lms or xyz, without integrating spectra again; and its slopes.
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
