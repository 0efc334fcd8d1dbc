#pragma once
// What the settings of one condition come to: those of one participant, and those of all participants
// together.

#include <span>
#include <string>
#include <vector>

#include "analysis/summaries/kept_settings.h"
#include "analysis/summaries/match_summary.h"

namespace isoseam {

// `sessions`: names, by KeptSetting::session. No setting: a programmer's fault (ISOSEAM_CHECK).
ConditionSummary participant_summary(const std::string& participant, const KeptCondition& condition,
                                     const std::vector<std::string>& sessions, bool keep_settings);
// The conditions have one key. Every setting has the same weight.
ConditionSummary pooled_summary(std::span<const KeptCondition* const> conditions);

// The trends along each axis that the conditions have, in order of space and name. They rest on what differs
// within one condition of one session.
std::vector<AxisTrend> axis_trends(std::span<const KeptCondition* const> conditions);

// The components of variance of one condition, with an entry of `by_participant` for each participant. A
// coordinate without components is left out.
std::vector<ComponentsSummary> components_of(std::span<const KeptCondition* const> by_participant);

}  // namespace isoseam
