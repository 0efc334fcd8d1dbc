#include "protocols/procedures/forced_choice.h"

#include <fmt/format.h>

#include "base/random.h"

namespace isoseam {
namespace {

int place_of_target(const ForcedChoice& question, std::uint64_t seed, int index) {
    const RandomStream random{seed, kStreamTargetPlace};
    if (!question.balanced)
        return static_cast<int>(
            random.below(static_cast<std::uint64_t>(index), static_cast<std::uint64_t>(question.places)));
    const int block_size = kBalancedTurns * question.places;
    // The permutation of each block has its own seed.
    const std::uint64_t block_seed = random.bits(static_cast<std::uint64_t>(index / block_size));
    const std::vector<int> order = shuffled_order({block_seed, kStreamTargetPlace}, block_size);
    return order[static_cast<std::size_t>(index % block_size)] % question.places;
}

}  // namespace

std::vector<Fault> faults(const ForcedChoice& question) {
    SpecFaults found;
    found.require(question.places >= 2 && question.places <= kMostPlaces, "places",
                  fmt::format("{} places", question.places), fmt::format("write 2 to {}", kMostPlaces));
    return found.all();
}

Pose pose(const ForcedChoice& question, std::uint64_t seed, int index) {
    Pose made;
    made.form = AnswerForm::place;
    made.places = question.places;
    made.target_place = place_of_target(question, seed, index);
    return made;
}

Verdict judge(const ForcedChoice& question, const TrialRequest& request, const TrialResponse& response) {
    ISOSEAM_CHECK(response.kind == TrialResponse::Kind::place, to_string(response.kind));
    ISOSEAM_CHECK_GE(response.value, 0);
    ISOSEAM_CHECK_LT(response.value, question.places);
    if (!request.target)
        return {};
    const bool right = response.value == request.target_place;
    return {right, right};
}

}  // namespace isoseam
