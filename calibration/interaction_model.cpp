#include "calibration/interaction_model.h"

#include <fmt/format.h>

#include <Eigen/LU>
#include <Eigen/SVD>
#include <algorithm>
#include <cmath>
#include <limits>

#include "base/errors.h"

namespace isoseam {
namespace {

// Above this condition number the primaries at half light are as good as dependent.
constexpr double kLargestCondition = 1e6;

}  // namespace

Eigen::VectorXd interaction_products(const std::vector<Interaction>& interactions,
                                     const Eigen::VectorXd& linear) {
    Eigen::VectorXd products(static_cast<Eigen::Index>(interactions.size()));
    for (Eigen::Index k = 0; k < products.size(); ++k) {
        products[k] = 1.0;
        for (const int primary : interactions[static_cast<std::size_t>(k)].of)
            products[k] *= linear[primary];
    }
    return products;
}

Eigen::MatrixXd interaction_slopes(const std::vector<Interaction>& interactions,
                                   const Eigen::VectorXd& linear) {
    Eigen::MatrixXd slopes =
        Eigen::MatrixXd::Zero(static_cast<Eigen::Index>(interactions.size()), linear.size());
    for (Eigen::Index k = 0; k < slopes.rows(); ++k) {
        const std::vector<int>& of = interactions[static_cast<std::size_t>(k)].of;
        for (const int primary : of) {
            double rest = 1.0;
            for (const int other : of)
                rest *= other == primary ? 1.0 : linear[other];
            slopes(k, primary) = rest;
        }
    }
    return slopes;
}

InteractionInverse InteractionInverse::of_lms(const DisplayModel& display, const Observer& observer) {
    const std::vector<Interaction>& interactions = display.calibration().interactions;
    Eigen::Matrix3Xd products(3, static_cast<Eigen::Index>(interactions.size()));
    for (std::size_t k = 0; k < interactions.size(); ++k)
        products.col(static_cast<Eigen::Index>(k)) = observer.excitations(interactions[k].spectrum).vector();
    return {display, display.lms_from_linear(observer), products, display.black_lms(observer).vector()};
}

InteractionInverse InteractionInverse::of_xyz(const DisplayModel& display) {
    const std::vector<Interaction>& interactions = display.calibration().interactions;
    Eigen::Matrix3Xd products(3, static_cast<Eigen::Index>(interactions.size()));
    for (std::size_t k = 0; k < interactions.size(); ++k)
        products.col(static_cast<Eigen::Index>(k)) = tristimulus(interactions[k].spectrum).vector();
    return {display, display.xyz_from_linear(), products, display.black_xyz().vector()};
}

InteractionInverse::InteractionInverse(const DisplayModel& display,
                                       const Eigen::Matrix3Xd& response_from_linear,
                                       const Eigen::Matrix3Xd& response_from_products,
                                       const Eigen::Vector3d& black)
    : interactions_(display.calibration().interactions),
      response_from_products_(response_from_products),
      black_(black) {
    ISOSEAM_CHECK_EQ(display.primary_count(), 3);
    response_from_linear_ = response_from_linear;
    const Eigen::Matrix3d chord = slopes(Eigen::Vector3d::Constant(0.5));
    const Eigen::Vector3d sizes = Eigen::JacobiSVD<Eigen::Matrix3d>(chord).singularValues();
    if (!(sizes[0] <= kLargestCondition * sizes[2])) {
        contraction_ = std::numeric_limits<double>::infinity();
        return;
    }
    linear_from_response_ = chord.inverse();
    for (int corner = 0; corner < 8; ++corner) {
        const Eigen::Vector3d linear(corner & 1, (corner >> 1) & 1, (corner >> 2) & 1);
        const Eigen::Matrix3d step = Eigen::Matrix3d::Identity() - linear_from_response_ * slopes(linear);
        contraction_ = std::max(contraction_, step.cwiseAbs().rowwise().sum().maxCoeff());
    }
}

Eigen::Matrix3d InteractionInverse::slopes(const Eigen::Vector3d& linear) const {
    return response_from_linear_ + response_from_products_ * interaction_slopes(interactions_, linear);
}

Eigen::Vector3d InteractionInverse::response(const Eigen::Vector3d& linear) const {
    Eigen::Vector3d sum = black_ + response_from_linear_ * linear;
    for (std::size_t k = 0; k < interactions_.size(); ++k) {
        double product = 1.0;
        for (const int primary : interactions_[k].of)
            product *= linear[primary];
        sum += product * response_from_products_.col(static_cast<Eigen::Index>(k));
    }
    return sum;
}

// Before each step x is drawn into the cube, which brings no two points further apart. So the iteration
// contracts everywhere; a point that it comes to rest at inside the cube is the solution, and one outside
// means that there is none.
Eigen::Vector3d InteractionInverse::rest_point(const Eigen::Vector3d& target) const {
    ISOSEAM_CHECK(converges(), fmt::format("contraction {}", contraction_));
    Eigen::Vector3d linear = Eigen::Vector3d::Constant(0.5);
    // How far the rest point still is, at most, after a step of size s: s contraction / (1 - contraction).
    const double far = contraction_ / (1.0 - contraction_);
    double left = std::numeric_limits<double>::infinity();
    while (!(left <= kTolerance) && linear.allFinite()) {
        const Eigen::Vector3d inside = linear.cwiseMax(0.0).cwiseMin(1.0);
        const Eigen::Vector3d next = inside - linear_from_response_ * (response(inside) - target);
        left = far * (next - linear).cwiseAbs().maxCoeff();
        linear = next;
    }
    return linear;
}

std::optional<LinearDrive> InteractionInverse::linear_from_response(const Eigen::Vector3d& target) const {
    const Eigen::Vector3d linear = rest_point(target);
    if (!(linear.minCoeff() >= -kTolerance && linear.maxCoeff() <= 1.0 + kTolerance))
        return std::nullopt;
    return LinearDrive{linear.cwiseMax(0.0).cwiseMin(1.0)};
}

bool has_inverse(const DisplayModel& display, const Observer& observer) {
    return display.additive() ||
           (display.primary_count() == 3 && InteractionInverse::of_lms(display, observer).converges() &&
            InteractionInverse::of_xyz(display).converges());
}

}  // namespace isoseam
