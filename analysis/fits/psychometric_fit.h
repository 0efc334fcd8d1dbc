#pragma once
// The fit goes from counts of successes to a threshold and a slope of a psychometric function, by maximum
// likelihood. What the counts cannot determine is said in words and is given no number. The functions are
// pure.
//
//     const PsychometricFit fit = fit_psychometric({PsychometricForm::weibull, 0.5, 0.02}, counts);
//     if (fit.curve) use(fit.curve->threshold, fit.threshold_95);

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/errors.h"
#include "base/psychometric_function.h"

namespace isoseam {

struct FitModel {
    PsychometricForm form = PsychometricForm::weibull;
    std::optional<double> guess = 0.0;   // if there is none, it is free from 0 to kMostFreeGuess
    std::optional<double> lapse = 0.02;  // if there is none, it is free from 0 to kMostFreeLapse
};
inline constexpr double kMostFreeGuess = 0.6;
inline constexpr double kMostFreeLapse = 0.2;
// Slopes are searched for between these bounds. The slope of a weibull is compared with them as it is; the
// bound for the other forms is divided by the span of the levels.
inline constexpr double kLeastSlope = 0.1;
inline constexpr double kMostWeibullSlope = 50.0;
inline constexpr double kMostSlopeOverSpan = 1000.0;

// If an end has no value, the interval is open there: the likelihood excludes nothing on that side.
struct FitInterval {
    std::optional<double> low;
    std::optional<double> high;
};

struct FitError {
    std::optional<double> threshold;
    std::optional<double> slope;
};

struct PsychometricFit {
    FitModel model;
    // If this has reasons, in words, there is no curve.
    std::vector<std::string> not_identified;
    std::optional<PsychometricFunction> curve;
    // The largest log-likelihood, without binomial coefficients.
    double log_likelihood = 0.0;
    // Twice the distance of the log-likelihood from that of a model with a probability of its own for each
    // level.
    double deviance = 0.0;
    // The standard error follows from the observed information. There is none if that is not positive.
    FitError standard_error;
    // The interval follows from the profile likelihood. A fit without a curve has one too, if there are two
    // levels.
    FitInterval threshold_95;
    FitInterval slope_95;
    std::vector<std::string> notes;  // what a reader of the numbers has to know
};

// Says what is wrong with the guess or lapse rate, or with the levels for this form.
std::vector<Fault> faults(const FitModel& model, std::span<const LevelCount> counts);

// The counts need not be in order. Levels that differ only by rounding count as one level. Throws an
// InputError for faults().
PsychometricFit fit_psychometric(const FitModel& model, std::span<const LevelCount> counts);
// Gives the same counts in order of level, with each level once.
std::vector<LevelCount> tallied(std::span<const LevelCount> counts);

// This is a parametric bootstrap: counts are drawn from the fitted curve, and each set of counts is fitted
// again.
struct FitBootstrap {
    int samples = 0;
    // The number of samples whose slope or threshold ended at the border of the search.
    int at_a_bound = 0;
    // The 2.5 and 97.5 % points of the samples. An end at the border of the search has no value.
    FitInterval threshold_95;
    FitInterval slope_95;
    // The share of deviances that are at least as large as the deviance of the data. The data themselves are
    // counted too.
    double goodness_p = 1.0;
};
// The fit must have a curve, and `samples` must be one or more.
FitBootstrap bootstrap(const PsychometricFit& fit, std::span<const LevelCount> counts, int samples,
                       std::uint64_t seed);

}  // namespace isoseam
