#pragma once
// What settings come to, as a section of the report.

#include "analysis/pages/document.h"
#include "analysis/study_report/typical_setting.h"
#include "analysis/summaries/match_summary.h"

namespace isoseam {

// `typical` may be null. Numbers are the summary's.
PageSection match_section(const MatchSeries& series, const TypicalSetting* typical);

}  // namespace isoseam
