#pragma once
// The posterior is what counts of successes say about a threshold and a slope when flat priors are combined
// with the likelihood (Bayes's rule, summed over a grid).
//
// The priors are flat. The prior of a weibull's log threshold reaches from half the smallest level above 0 to
// twice the largest one, the prior of the other forms' threshold over the levels and half their span on
// either side. The prior of log slope reaches over the slopes that psychometric_fit.h searches, and the
// priors of free rates reach over their ranges. Where the data say little, the estimate rests on the priors
// as much as on the data: `at_a_border` then says so.

#include <optional>
#include <span>

#include "analysis/fits/psychometric_fit.h"

namespace isoseam {

struct PosteriorValue {
    double mean = 0.0;
    double sd = 0.0;
    // Low and high are the ends of the middle 95 %.
    double low = 0.0;
    double high = 0.0;
};

struct FitPosterior {
    PosteriorValue threshold;
    PosteriorValue slope;
    std::optional<PosteriorValue> guess;  // if free
    std::optional<PosteriorValue> lapse;
    // This is true if more than 2.5 % of the threshold or of the slope lies in a grid cell at the end of its
    // range.
    bool at_a_border = false;
};

// There is no posterior without two different levels. Throws an InputError for faults(model, counts).
std::optional<FitPosterior> posterior(const FitModel& model, std::span<const LevelCount> counts);

}  // namespace isoseam
