#pragma once
// This section of the report says what the settings show.

#include "analysis/pages/document.h"
#include "analysis/study_report/typical_setting.h"
#include "analysis/summaries/match_summary.h"

namespace isoseam {

// `typical` may be null. The numbers are those of the summary.
PageSection match_section(const MatchSeries& series, const TypicalSetting* typical);

}  // namespace isoseam
