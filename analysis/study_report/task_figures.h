#pragma once
// These figures show answers, and the weights of L and M in luminance, as pictures.

#include "analysis/pages/document.h"
#include "analysis/summaries/flicker_summary.h"
#include "analysis/summaries/threshold_summary.h"

namespace isoseam {

// Draws the shares of successes with the fitted curves. There is one panel for each participant and condition
// whose levels lie on one axis.
std::vector<PageFigure> psychometric_figures(const ThresholdSeries& series);

// Draws the share of L in luminance, with its interval, of each participant who has a fit.
std::vector<PageFigure> weight_figures(const FlickerSeries& series);

}  // namespace isoseam
