#pragma once
// What a Bayesian adaptive run computes once: the hypotheses of its grid, how probable success is under each
// at each level, and how uncertain the answer then is.

#include <Eigen/Core>
#include <vector>

#include "protocols/procedures/bayesian_adaptive.h"

namespace isoseam {

using FloatTable = Eigen::Matrix<float, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

struct BayesianTables {
    // One row (or entry) per hypothesis.
    Eigen::MatrixXd principal;  // thresholds along the principal axes
    Eigen::VectorXd angle_deg;
    Eigen::VectorXd slope;
    Eigen::VectorXd guess;
    Eigen::VectorXd lapse;
    Eigen::VectorXd log_prior;
    Eigen::MatrixXd threshold_along;  // a column per direction; log10 for weibull
    std::vector<std::vector<double>> directions;
    // A row per level, a column per hypothesis.
    FloatTable success;  // both probabilities, within [kLeastProbability, 1], so that small ones are exact
    FloatTable failure;
    FloatTable entropy_bits;
};

// The spec has no faults.
BayesianTables bayesian_tables(const BayesianAdaptiveSpec& spec);

// Weights that sum to 1.
Eigen::VectorXd normalised(const Eigen::VectorXd& log_weights);

}  // namespace isoseam
