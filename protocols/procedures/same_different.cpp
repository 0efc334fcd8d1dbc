#include "protocols/procedures/same_different.h"

#include <fmt/format.h>

#include "base/random.h"

namespace isoseam {

std::vector<Fault> faults(const SameDifferent& question) {
    SpecFaults found;
    found.require(question.same_share > 0.0 && question.same_share < 1.0, "same_share",
                  fmt::format("{:g} of the trials alike", question.same_share),
                  "write a share above 0 and below 1");
    return found.all();
}

Pose pose(const SameDifferent& question, std::uint64_t seed, int index) {
    const auto counter = static_cast<std::uint64_t>(index);
    Pose made;
    made.form = AnswerForm::same_different;
    made.places = 2;
    made.target = RandomStream{seed, kStreamSamePairs}.uniform(counter) >= question.same_share;
    if (made.target)
        made.target_place = static_cast<int>(RandomStream{seed, kStreamTargetPlace}.below(counter, 2));
    return made;
}

Verdict judge(const SameDifferent&, const TrialRequest& request, const TrialResponse& response) {
    ISOSEAM_CHECK(
        response.kind == TrialResponse::Kind::same || response.kind == TrialResponse::Kind::different,
        to_string(response.kind));
    const bool different = response.kind == TrialResponse::Kind::different;
    if (!request.target)
        return {!different, std::nullopt};
    return {different, different};
}

}  // namespace isoseam
