#pragma once
// From counts of successes to a threshold and a slope of a psychometric function, by maximum likelihood. What
// the counts cannot tell is said in words and is no number. Pure.
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
    std::optional<double> guess = 0.0;   // none: free, from 0 to kMostFreeGuess
    std::optional<double> lapse = 0.02;  // none: free, from 0 to kMostFreeLapse
};
inline constexpr double kMostFreeGuess = 0.6;
inline constexpr double kMostFreeLapse = 0.2;
// Slopes are looked for between these: of a weibull as they stand, of the other forms divided by the span of
// the levels.
inline constexpr double kLeastSlope = 0.1;
inline constexpr double kMostWeibullSlope = 50.0;
inline constexpr double kMostSlopeOverSpan = 1000.0;

// An end that is none is open: the likelihood excludes nothing on that side.
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
    std::vector<std::string> not_identified;  // reasons, in words; then there is no curve
    std::optional<PsychometricFunction> curve;
    double log_likelihood = 0.0;  // largest; the kernel, without binomial coefficients
    double deviance = 0.0;        // twice its distance from that of a probability of its own for each level
    FitError standard_error;      // from the observed information; none where that is not positive
    FitInterval threshold_95;  // profile likelihood; also for a fit without a curve, if there are two levels
    FitInterval slope_95;
    std::vector<std::string> notes;  // what a reader of the numbers has to know
};

// What is wrong with the guess or lapse rate, or with the levels for this form.
std::vector<Fault> faults(const FitModel& model, std::span<const LevelCount> counts);

// Counts need not be in order. Levels that differ by rounding only are taken together. Throws an InputError
// for faults().
PsychometricFit fit_psychometric(const FitModel& model, std::span<const LevelCount> counts);
// The same counts in order of level, each level once.
std::vector<LevelCount> tallied(std::span<const LevelCount> counts);

// Parametric bootstrap: counts drawn from the fitted curve, each fitted again.
struct FitBootstrap {
    int samples = 0;
    int at_a_bound = 0;  // samples whose slope or threshold ended at the border of where it is looked for
    FitInterval threshold_95;  // 2.5 and 97.5 % of the samples; an end at such a border is none
    FitInterval slope_95;
    double goodness_p = 1.0;  // share of deviances at least as large as that of the data, the data among them
};
// Needs a fit with a curve and one sample or more.
FitBootstrap bootstrap(const PsychometricFit& fit, std::span<const LevelCount> counts, int samples,
                       std::uint64_t seed);

}  // namespace isoseam
