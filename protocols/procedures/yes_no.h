#pragma once
// Yes or no: did the observer see the target? Where that turns to yes depends on caution as well as on the
// eye, so a task of this kind wants catch trials: how often the observer says yes to nothing.

#include <cstdint>
#include <vector>

#include "protocols/procedures/question.h"

namespace isoseam {

struct YesNo {};

std::vector<Fault> faults(const YesNo& question);
Pose pose(const YesNo& question, std::uint64_t seed, int index);
Verdict judge(const YesNo& question, const TrialRequest& request, const TrialResponse& response);

}  // namespace isoseam
