#include "protocols/procedures/yes_no.h"

namespace isoseam {

std::vector<Fault> faults(const YesNo&) {
    return {};
}

Pose pose(const YesNo&, std::uint64_t, int) {
    return {};
}

Verdict judge(const YesNo&, const TrialRequest& request, const TrialResponse& response) {
    ISOSEAM_CHECK(response.kind == TrialResponse::Kind::yes || response.kind == TrialResponse::Kind::no,
                  to_string(response.kind));
    const bool yes = response.kind == TrialResponse::Kind::yes;
    if (!request.target)
        return {!yes, std::nullopt};
    return {yes, yes};
}

}  // namespace isoseam
