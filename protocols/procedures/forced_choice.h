#pragma once
// Forced choice: the target is in one of several places (or intervals), and the observer must name one of
// them, guessing if need be. The observer's caution does not matter, because there is always an answer. A
// guess is right in one of `places` trials.

#include <cstdint>
#include <vector>

#include "protocols/procedures/question.h"

namespace isoseam {

struct ForcedChoice {
    int places = 2;  // 2 to 16
    // If true, trials come in shuffled blocks with kBalancedTurns trials for each place, so that every place
    // is used equally often. Otherwise the place of each trial is drawn independently.
    bool balanced = true;
};
inline constexpr int kBalancedTurns = 4;
inline constexpr int kMostPlaces = 16;

std::vector<Fault> faults(const ForcedChoice& question);
Pose pose(const ForcedChoice& question, std::uint64_t seed, int index);
// A catch trial has no right place.
Verdict judge(const ForcedChoice& question, const TrialRequest& request, const TrialResponse& response);

}  // namespace isoseam
