#pragma once
// Tables of the conditions of one participant, or of all together, as text; and how coordinates are shown.

#include <cstddef>
#include <string>
#include <vector>

#include "analysis/summaries/match_summary.h"
#include "analysis/summaries/space_unit.h"

namespace isoseam {

inline constexpr std::size_t kConditionWidth = 21;
inline constexpr std::size_t kAxisWidth = 13;

using ConditionRows = std::vector<const ConditionSummary*>;
// Contrasts, axes with their means and ranges.
std::string condition_tables(const ConditionRows& rows);
// Of one participant: ellipses (`full`: in all planes), tests, settings far off.
std::string scatter_tables(const ConditionRows& rows, bool full);

}  // namespace isoseam
