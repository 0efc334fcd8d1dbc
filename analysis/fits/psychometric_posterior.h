#pragma once
// What counts of successes say of a threshold and a slope when flat priors meet the likelihood (Bayes's rule,
// summed over a grid).
//
// The priors are flat. That of a weibull's log threshold reaches from half the smallest level above 0 to
// twice the largest one, that of the other forms' threshold over the levels and half their span on either
// side. That of log slope reaches over the slopes that psychometric_fit.h looks for, and those of free rates
// over their ranges. Where the data say little, the estimate rests on the priors as much as on the data:
// `at_a_border` tells.

#include <optional>
#include <span>

#include "analysis/fits/psychometric_fit.h"

namespace isoseam {

struct PosteriorValue {
    double mean = 0.0;
    double sd = 0.0;
    double low = 0.0;  // of the middle 95 %
    double high = 0.0;
};

struct FitPosterior {
    PosteriorValue threshold;
    PosteriorValue slope;
    std::optional<PosteriorValue> guess;  // if free
    std::optional<PosteriorValue> lapse;
    // More than 2.5 % of the threshold or of the slope lies in a grid cell at the end of its range.
    bool at_a_border = false;
};

// None where there are not two different levels. InputError for faults(model, counts).
std::optional<FitPosterior> posterior(const FitModel& model, std::span<const LevelCount> counts);

}  // namespace isoseam
