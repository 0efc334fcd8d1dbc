#pragma once
// What settings come to, as a section of the report.

#include "analysis/pages/document.h"
#include "analysis/study_report/typical_setting.h"
#include "analysis/summaries/match_summary.h"

namespace isoseam {

// `typical` may be null. Numbers are the summary's.
PageSection match_section(const MatchSeries& series, const TypicalSetting* typical);

// Heading words that tell a series from others: "precision_one_screen.yaml, rehearsals, demo data".
std::string series_words(const SeriesFacts& facts);
// What must stand above each of its figures: that it is a rehearsal, or rests on demo data.
std::vector<PageBlock> series_notes(const SeriesFacts& facts);

std::string p_words(double p);  // "<0.001", "0.023"
// "a to b"; "n.d." for none.
std::string interval_words(const std::optional<Interval>& interval, double factor, int decimals);
std::string value_words(const std::optional<double>& value, double factor, int decimals);

}  // namespace isoseam
