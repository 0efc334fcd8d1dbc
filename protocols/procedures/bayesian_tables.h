#pragma once
// What a Bayesian adaptive run computes once: the hypotheses of its grid, and for each hypothesis and level
// how probable success is and how uncertain the answer is.

#include <Eigen/Core>
#include <vector>

#include "protocols/procedures/bayesian_adaptive.h"

namespace isoseam {

using FloatTable = Eigen::Matrix<float, Eigen::Dynamic, Eigen::Dynamic, Eigen::RowMajor>;

struct BayesianTables {
    // These seven have one row, or one entry, for each hypothesis.
    Eigen::MatrixXd principal;  // The thresholds along the principal axes.
    Eigen::VectorXd angle_deg;
    Eigen::VectorXd slope;
    Eigen::VectorXd guess;
    Eigen::VectorXd lapse;
    Eigen::VectorXd log_prior;
    Eigen::MatrixXd threshold_along;  // It has a column for each direction. Its unit is log10 for weibull.
    std::vector<std::vector<double>> directions;
    // The tables have a row for each level and a column for each hypothesis. The probabilities of success and
    // of failure lie within [kLeastProbability, 1]. Both are kept, so that small ones of either are exact.
    FloatTable success;
    FloatTable failure;
    FloatTable entropy_bits;
};

// Computes the tables of a spec, which must have no faults.
BayesianTables bayesian_tables(const BayesianAdaptiveSpec& spec);

// Returns the weights whose logarithms are given, divided by their sum, so that they sum to 1.
Eigen::VectorXd normalised(const Eigen::VectorXd& log_weights);

}  // namespace isoseam
