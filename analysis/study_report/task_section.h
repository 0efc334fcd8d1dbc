#pragma once
// What answers, and settings of least flicker, come to, as sections of the report. Numbers are the
// summaries'.

#include "analysis/pages/document.h"
#include "analysis/summaries/flicker_summary.h"
#include "analysis/summaries/threshold_summary.h"

namespace isoseam {

PageSection threshold_section(const ThresholdSeries& series, const ThresholdOptions& options);
PageSection flicker_section(const FlickerSeries& series);
// Whether settings of a series ask for luminance at all: some took turns on one spot, or some have a fit.
bool tells_of_flicker(const FlickerSeries& series);

}  // namespace isoseam
