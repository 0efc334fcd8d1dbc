#pragma once
// Forced choice: the target is in one of several places (or intervals), and the observer must name one,
// guessing if need be. An observer's caution does not enter, since there is always an answer; guesses are
// right in one of `places` trials.

#include <cstdint>
#include <vector>

#include "protocols/procedures/question.h"

namespace isoseam {

struct ForcedChoice {
    int places = 2;  // 2 to 16
    // Blocks of kBalancedTurns trials for each place, shuffled, so that every place is used equally often;
    // else each place is drawn by itself.
    bool balanced = true;
};
inline constexpr int kBalancedTurns = 4;
inline constexpr int kMostPlaces = 16;

std::vector<Fault> faults(const ForcedChoice& question);
Pose pose(const ForcedChoice& question, std::uint64_t seed, int index);
// A catch trial has no right place.
Verdict judge(const ForcedChoice& question, const TrialRequest& request, const TrialResponse& response);

}  // namespace isoseam
