#pragma once
// These functions summarise the settings of one condition: those of one participant, and those of all
// participants together.

#include <span>
#include <string>
#include <vector>

#include "analysis/summaries/kept_settings.h"
#include "analysis/summaries/match_summary.h"

namespace isoseam {

// `sessions` are names; KeptSetting::session is an index into them. A condition without settings is a
// programmer's fault (ISOSEAM_CHECK).
ConditionSummary participant_summary(const std::string& participant, const KeptCondition& condition,
                                     const std::vector<std::string>& sessions, bool keep_settings);
// There is a condition for each participant, and all have the same key.
ConditionSummary pooled_summary(std::span<const KeptCondition* const> conditions);

// Gives the components of variance of one condition. `by_participant` has an entry for each participant. A
// coordinate without components is left out.
std::vector<ComponentsSummary> components_of(std::span<const KeptCondition* const> by_participant);

}  // namespace isoseam
