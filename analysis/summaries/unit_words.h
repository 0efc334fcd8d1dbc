#pragma once
// These words say what the means of conditions rest on.

#include <string>
#include <vector>

#include "analysis/statistics/unit_means.h"
#include "analysis/summaries/match_summary.h"

namespace isoseam {

std::string to_string(RepetitionUnit unit);  // "setting", "session", "participant"

// Gives a text for each way in which the conditions have their means. Where there are several ways, each text
// begins with the names of its conditions.
std::vector<std::string> unit_words(const std::vector<const ConditionSummary*>& rows);

}  // namespace isoseam
