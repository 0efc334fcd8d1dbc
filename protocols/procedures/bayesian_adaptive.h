#pragma once
// The Bayesian adaptive procedure: a posterior over gridded parameters of the psychometric function, and as
// next stimulus the one whose answer is expected to tell most about them (largest mutual information between
// answer and parameters).
//
// One dimension: the psychometric function of psychometric.h. Two or three dimensions (weibull only):
// thresholds lie on an ellipse or ellipsoid about the origin of the levels, x' A x = 1, with A in principal
// form; the intensity of a level is sqrt(x' A x), 1 at threshold. The principal axes are the dimensions, on
// two dimensions turned by `angle_deg`.
//
// No answer is impossible: an observer can always press the wrong key. Where guess and lapse say otherwise,
// both answers keep kLeastProbability. The posterior is kept as
// logarithms, so that a hypothesis that looks dead can come back.

#include <Eigen/Core>
#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

#include "base/psychometric_function.h"
#include "protocols/procedures/trial.h"

namespace isoseam {

inline constexpr double kLeastProbability = 1e-6;
// Memory is bounded: hypotheses times levels take three tables of single precision, 12 bytes a cell, 48 MB at
// most; beside them a hypothesis takes up to 150 bytes, 30 MB at most.
inline constexpr double kMostBayesianCells = 4e6;
inline constexpr double kMostHypotheses = 2e5;

// The values that a parameter may have, and their prior.
struct GriddedParameter {
    std::vector<double> values;  // rising; one value: known
    std::vector<double> prior;   // weights > 0, one per value; empty: all alike
};

struct BayesianAdaptiveSpec {
    PsychometricForm form = PsychometricForm::weibull;
    std::vector<Level> levels;                 // the stimuli to choose from, of 1 to 3 dimensions
    std::vector<GriddedParameter> thresholds;  // one per dimension, along the principal axes
    GriddedParameter angle_deg{{0.0}, {}};     // two dimensions: of the first principal axis; 0 to below 180
    GriddedParameter slope;
    GriddedParameter guess;
    GriddedParameter lapse;
    int trials = 0;  // at most
    // Ends earlier once the posterior SD of the threshold is at most this, along every dimension and, on two
    // or three dimensions, every diagonal: in log10 units for weibull, else in units of the level.
    // The values of `thresholds` must lie no further apart, or the SD would be that of the grid.
    std::optional<double> precision;
};
std::vector<Fault> faults(const BayesianAdaptiveSpec& spec);

// What does not change during a run; made by start, shared by the states of the run.
struct BayesianTables;

struct BayesianAdaptiveState {
    std::shared_ptr<const BayesianTables> tables;
    Eigen::VectorXd log_posterior;  // per hypothesis, largest 0
    int answered = 0;
    int next_level = 0;  // index
    bool finished = false;
};

struct BayesianAdaptiveResult {
    struct Estimate {
        double mean = 0.0;
        double sd = 0.0;
    };
    struct Threshold {
        std::vector<double> direction;  // unit vector in the levels' space
        Estimate estimate;              // of log10 threshold for weibull, else of the threshold
    };
    std::vector<Threshold> thresholds;  // along the dimensions, then the diagonals
    std::vector<Estimate> principal;    // per principal axis, as above
    Estimate slope;
    Estimate guess;
    Estimate lapse;
    int trials = 0;
    bool precise = false;  // ended by precision
};

BayesianAdaptiveState start(const BayesianAdaptiveSpec& spec, std::uint64_t seed);
std::optional<LevelRequest> next_trial(const BayesianAdaptiveSpec& spec, const BayesianAdaptiveState& state);
BayesianAdaptiveState respond(const BayesianAdaptiveSpec& spec, BayesianAdaptiveState state, bool success);
BayesianAdaptiveResult result(const BayesianAdaptiveSpec& spec, const BayesianAdaptiveState& state);

// Expected information of each level's answer, in bits, for a posterior.
Eigen::VectorXd expected_information_bits(const BayesianTables& tables, const Eigen::VectorXd& log_posterior);

}  // namespace isoseam
