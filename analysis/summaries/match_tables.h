#pragma once
// This header writes tables of the conditions of one participant, or of all together, as text.

#include <cstddef>
#include <string>
#include <vector>

#include "analysis/summaries/match_summary.h"
#include "analysis/summaries/space_unit.h"

namespace isoseam {

inline constexpr std::size_t kConditionWidth = 21;
inline constexpr std::size_t kAxisWidth = 13;

using ConditionRows = std::vector<const ConditionSummary*>;
// Gives the contrasts, the axes with their means and ranges, and the unit that the means rest on.
std::string condition_tables(const ConditionRows& rows);
// Gives the ellipses, the tests and the far-off settings. `full` adds the ellipses in all other planes.
std::string scatter_tables(const ConditionRows& rows, bool full);
// Gives the tests of serial correlation within sessions. It is empty if there are none.
std::string serial_table(const ConditionRows& rows);

}  // namespace isoseam
