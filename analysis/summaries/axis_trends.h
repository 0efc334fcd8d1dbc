#pragma once
// Drift over a session, and what starting points do.

#include <span>
#include <vector>

#include "analysis/summaries/kept_settings.h"
#include "analysis/summaries/match_summary.h"

namespace isoseam {

// Gives the trends along each axis that the conditions have, in order of space and name. `by_participant` has
// the conditions of each participant.
std::vector<AxisTrend> axis_trends(std::span<const std::vector<const KeptCondition*>> by_participant);

}  // namespace isoseam
