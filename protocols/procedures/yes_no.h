#pragma once
// Yes or no: did the observer see the target? The level at which the answer turns to yes depends on the
// observer's caution as well as on the eye. A task of this kind therefore needs catch trials, which show how
// often the observer says yes where there is no target.

#include <cstdint>
#include <vector>

#include "protocols/procedures/question.h"

namespace isoseam {

struct YesNo {};

std::vector<Fault> faults(const YesNo& question);
Pose pose(const YesNo& question, std::uint64_t seed, int index);
Verdict judge(const YesNo& question, const TrialRequest& request, const TrialResponse& response);

}  // namespace isoseam
