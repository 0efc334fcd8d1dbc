#pragma once
// These sections of the report say what the answers, and the settings of least flicker, show. The numbers are
// those of the summaries.

#include "analysis/pages/document.h"
#include "analysis/summaries/flicker_summary.h"
#include "analysis/summaries/threshold_summary.h"

namespace isoseam {

PageSection threshold_section(const ThresholdSeries& series, const ThresholdOptions& options);
PageSection flicker_section(const FlickerSeries& series);
// The name of the form in a sentence.
std::string psychometric_form_words(PsychometricForm form);

}  // namespace isoseam
