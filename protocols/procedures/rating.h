#pragma once
// Rating: the observer puts each stimulus into one of some ordered categories, from 1 (surely nothing)
// upwards. Nothing is right or wrong unless the spec says from which category on a rating counts as seen.

#include <cstdint>
#include <optional>
#include <vector>

#include "protocols/procedures/question.h"

namespace isoseam {

struct Rating {
    int categories = 5;  // 2 to 10
    // A rating in this category or a higher one is a success. From 2 to `categories`. It must have a value
    // where success drives the level.
    std::optional<int> seen_from;
};
inline constexpr int kMostCategories = 10;

std::vector<Fault> faults(const Rating& question);
Pose pose(const Rating& question, std::uint64_t seed, int index);
Verdict judge(const Rating& question, const TrialRequest& request, const TrialResponse& response);

}  // namespace isoseam
