#pragma once
// Same or different: two places, alike in some trials, in the others with the target in one of them. The
// trials alike stand where other tasks have catch trials: they drive no level, and show how often the
// observer calls different what is the same.

#include <cstdint>
#include <vector>

#include "protocols/procedures/question.h"

namespace isoseam {

struct SameDifferent {
    double same_share = 0.5;  // of the trials, each drawn by itself; above 0, below 1
};

std::vector<Fault> faults(const SameDifferent& question);
Pose pose(const SameDifferent& question, std::uint64_t seed, int index);
Verdict judge(const SameDifferent& question, const TrialRequest& request, const TrialResponse& response);

}  // namespace isoseam
