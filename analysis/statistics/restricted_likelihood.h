#pragma once
// This is the search for the variances of a linear model whose random effects are nested:
//     y = X effects + (random effects of participants and of their sessions) + e
// by restricted maximum likelihood (Patterson & Thompson 1971, Biometrika 58, 545), with variances of 0 or
// more. It knows the data by sums of products alone, so it takes no longer for more settings of a session.
// nested_effects.h and mean_slope.h say which models it is used for, and are what other rooms include.
//
// The columns of the data are the covariates, then y. Each random effect multiplies one column of X within
// one participant or session. Its covariance adds one matrix of rank 1 to that of its group, so that the
// inverse follows from the formula of Sherman & Morrison, and no matrix is larger than the columns.

#include <Eigen/Core>
#include <array>
#include <cstddef>
#include <optional>
#include <vector>

namespace isoseam {

inline constexpr std::size_t kMostCovariates = 8;

// The sums of one group of settings with a level of its own.
struct GroupSums {
    std::size_t participant = 0;  // groups of one participant stand together
    double settings = 0.0;
    Eigen::VectorXd mean;      // of the columns
    Eigen::MatrixXd products;  // of the columns' differences from their means
};

struct RestrictedModel {
    // Whether each group has a fixed level of its own. Otherwise X begins with a column of ones.
    bool levels_fixed = false;
    bool sessions_random = false;  // the groups' levels; not together with `levels_fixed`
    // The column of X, if there is one, whose effect varies from participant to participant.
    std::optional<std::size_t> varies_by_participant;
};

// The effects are those of the columns of X, in their order.
struct RestrictedFit {
    Eigen::VectorXd effects;
    double variance = 0.0;  // of e
    // Variances of the random effects of sessions and of participants. A variance that is not in the model
    // is 0.
    double session_variance = 0.0;
    double participant_variance = 0.0;
    // -2 log restricted likelihood, as lme4 defines it if X begins with ones.
    double criterion = 0.0;

    // The covariance of the effects is variance * inverse. Its derivatives by the ratios of the random
    // effects' variances to `variance`, and the covariance of ratios and variance, from the curvature of the
    // likelihood. Where a ratio is 0 it counts as known.
    Eigen::MatrixXd inverse;
    std::array<Eigen::MatrixXd, 2> inverse_slopes;
    Eigen::Matrix3d parameter_covariance;  // ratio of sessions, ratio of participants, variance
};

// There is no fit if no degree of freedom is left, if the columns of X are linearly dependent, or if the
// effects fit all settings to the last digits.
std::optional<RestrictedFit> restricted_fit(const RestrictedModel& model,
                                            const std::vector<GroupSums>& groups);

// A weighted sum of effects with its standard error and Satterthwaite's degrees of freedom (Satterthwaite
// 1946, Biometrics Bulletin 2, 110): 2 variance^2 / var(variance), where the variance of the estimated
// variance follows from the curvature of the restricted likelihood at its highest point.
struct WeightedEffect {
    double value = 0.0;
    double standard_error = 0.0;
    double degrees = 0.0;
};
WeightedEffect weighted_effect(const RestrictedFit& fit, const Eigen::VectorXd& weights);

}  // namespace isoseam
