#pragma once
// Same or different: the observer compares two places. In some trials both places are the same, in the others
// one of them has the target. The trials without a target do what catch trials do in other tasks: they drive
// no level, and they show how often the observer says "different" where both places are the same.

#include <cstdint>
#include <vector>

#include "protocols/procedures/question.h"

namespace isoseam {

struct SameDifferent {
    // The share of trials in which both places are the same. Each trial is drawn independently. Above 0,
    // below 1.
    double same_share = 0.5;
};

std::vector<Fault> faults(const SameDifferent& question);
Pose pose(const SameDifferent& question, std::uint64_t seed, int index);
Verdict judge(const SameDifferent& question, const TrialRequest& request, const TrialResponse& response);

}  // namespace isoseam
