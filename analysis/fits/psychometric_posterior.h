#pragma once
// What counts of successes say of a threshold and a slope when flat priors meet the likelihood (Bayes's rule,
// summed over a grid).
//
// Priors: log threshold of a weibull flat from half the smallest level above 0 to twice the largest one,
// threshold of the other forms flat over the levels and half their span on either side; log slope flat over
// the slopes that psychometric_fit.h looks for; free rates flat over their ranges. Where the data say little,
// the estimate is the priors' as much as theirs: `at_a_border` tells.

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
