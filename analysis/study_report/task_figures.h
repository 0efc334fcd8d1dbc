#pragma once
// Answers and weights of luminance as pictures.

#include "analysis/pages/document.h"
#include "analysis/summaries/flicker_summary.h"
#include "analysis/summaries/threshold_summary.h"

namespace isoseam {

// Shares of successes with the fitted curves, one panel for each participant and condition whose levels lie
// on one axis.
std::vector<PageFigure> psychometric_figures(const ThresholdSeries& series);

// The share of L in luminance of each participant with a fit, with its interval.
std::vector<PageFigure> weight_figures(const FlickerSeries& series);

}  // namespace isoseam
