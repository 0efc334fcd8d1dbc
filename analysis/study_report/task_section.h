#pragma once
// These sections of the report say what the answers, and the settings of least flicker, show. The numbers are
// those of the summaries.

#include "analysis/pages/document.h"
#include "analysis/summaries/flicker_summary.h"
#include "analysis/summaries/threshold_summary.h"

namespace isoseam {

PageSection threshold_section(const ThresholdSeries& series, const ThresholdOptions& options);
PageSection flicker_section(const FlickerSeries& series);
// Says whether settings of a series concern luminance at all: some alternated with the reference on one spot,
// or some have a fit.
bool tells_of_flicker(const FlickerSeries& series);

}  // namespace isoseam
