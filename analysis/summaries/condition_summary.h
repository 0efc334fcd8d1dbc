#pragma once
// The figures of one participant's settings in one condition, and of all participants'.

#include <span>
#include <string>
#include <vector>

#include "analysis/summaries/kept_settings.h"
#include "analysis/summaries/match_summary.h"

namespace isoseam {

// `sessions`: names, by KeptSetting::session. No setting: a programmer's fault (ISOSEAM_CHECK).
ConditionSummary participant_summary(const std::string& participant, const KeptCondition& condition,
                                     const std::vector<std::string>& sessions, bool keep_settings);
// Of conditions with one key; every setting with the same weight.
ConditionSummary pooled_summary(std::span<const KeptCondition* const> conditions);

// Along each axis that the conditions have, in order of space and name; on what differs within one condition
// of one session.
std::vector<AxisTrend> axis_trends(std::span<const KeptCondition* const> conditions);

// Of one condition, an entry of `by_participant` each; nothing for coordinates without components.
std::vector<ComponentsSummary> components_of(std::span<const KeptCondition* const> by_participant);

}  // namespace isoseam
