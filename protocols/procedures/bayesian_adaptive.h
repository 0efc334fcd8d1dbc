#pragma once
// The Bayesian adaptive procedure. It keeps a posterior over the gridded parameters of the psychometric
// function. Its next stimulus is the one whose answer is expected to tell most about the parameters, that is,
// the one with the largest mutual information between answer and parameters.
//
// On one dimension it uses the psychometric function of psychometric_function.h. On two or three dimensions
// (weibull only) the thresholds lie on an ellipse or ellipsoid about the origin of the levels, x' A x = 1,
// with A in principal form. The intensity of a level is sqrt(x' A x), which is 1 at threshold. The principal
// axes are the dimensions. On two dimensions they are turned by `angle_deg`.
//
// No answer is impossible, because an observer can always press the wrong key. Where guess and lapse would
// make an answer impossible, it keeps the probability kLeastProbability. The posterior is kept as logarithms,
// so that a hypothesis that has become very improbable can recover.

#include <Eigen/Core>
#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

#include "base/psychometric_function.h"
#include "protocols/procedures/trial.h"

namespace isoseam {

inline constexpr double kLeastProbability = 1e-6;
// These two limits bound the memory. There are three tables in single precision with one cell for each
// hypothesis and level: 12 bytes together, 48 MB at most. Beside them each hypothesis takes up to 150 bytes,
// 30 MB at most.
inline constexpr double kMostBayesianCells = 4e6;
inline constexpr double kMostHypotheses = 2e5;

// The values that a parameter may have, and their prior.
struct GriddedParameter {
    std::vector<double> values;  // In rising order. A single value means that the parameter is known.
    std::vector<double> prior;   // One weight above 0 for each value. Empty: all values weigh the same.
};

struct BayesianAdaptiveSpec {
    PsychometricForm form = PsychometricForm::weibull;
    std::vector<Level> levels;                 // the stimuli to choose from, of 1 to 3 dimensions
    std::vector<GriddedParameter> thresholds;  // one per dimension, along the principal axes
    // The angle of the first principal axis, on two dimensions only: at least 0, below 180.
    GriddedParameter angle_deg{{0.0}, {}};
    GriddedParameter slope;
    GriddedParameter guess;
    GriddedParameter lapse;
    int trials = 0;  // The largest number of trials.
    // The run ends earlier once the posterior SD of the threshold is at most this, along every dimension and,
    // on two or three dimensions, along every diagonal. The unit is log10 for weibull, otherwise that of the
    // level. Neighbouring values of `thresholds` must lie no further apart than this, because otherwise the
    // SD would be that of the grid.
    std::optional<double> precision;
};
std::vector<Fault> faults(const BayesianAdaptiveSpec& spec);

// What does not change during a run. start() makes it, and all states of the run share it.
struct BayesianTables;

struct BayesianAdaptiveState {
    std::shared_ptr<const BayesianTables> tables;
    Eigen::VectorXd log_posterior;  // One entry for each hypothesis. The largest is 0.
    int answered = 0;
    int next_level = 0;  // An index into the levels of the spec.
    bool finished = false;
};

struct BayesianAdaptiveResult {
    struct Estimate {
        double mean = 0.0;
        double sd = 0.0;
    };
    struct Threshold {
        std::vector<double> direction;  // unit vector in the levels' space
        Estimate estimate;              // That of log10 threshold for weibull, otherwise of the threshold.
    };
    std::vector<Threshold> thresholds;  // Those along the dimensions, then those along the diagonals.
    std::vector<Estimate> principal;    // One for each principal axis, in the unit of Threshold::estimate.
    Estimate slope;
    Estimate guess;
    Estimate lapse;
    int trials = 0;
    bool precise = false;  // Whether the run ended because the wanted precision was reached.
};

BayesianAdaptiveState start(const BayesianAdaptiveSpec& spec, std::uint64_t seed);
std::optional<LevelRequest> next_trial(const BayesianAdaptiveSpec& spec, const BayesianAdaptiveState& state);
BayesianAdaptiveState respond(const BayesianAdaptiveSpec& spec, BayesianAdaptiveState state, bool success);
BayesianAdaptiveResult result(const BayesianAdaptiveSpec& spec, const BayesianAdaptiveState& state);

// The information that the answer at each level is expected to give under a posterior, in bits.
Eigen::VectorXd expected_information_bits(const BayesianTables& tables, const Eigen::VectorXd& log_posterior);

}  // namespace isoseam
