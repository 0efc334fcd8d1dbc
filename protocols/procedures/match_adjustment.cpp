#include "protocols/procedures/match_adjustment.h"

#include <utility>

namespace isoseam {
namespace {

AdjustmentResponse::Kind kind_of(TrialResponse::Kind kind) {
    if (kind == TrialResponse::Kind::step)
        return AdjustmentResponse::Kind::step;
    if (kind == TrialResponse::Kind::accept)
        return AdjustmentResponse::Kind::accept;
    ISOSEAM_CHECK(kind == TrialResponse::Kind::waiting, to_string(kind));
    return AdjustmentResponse::Kind::waiting;
}

}  // namespace

AdjustmentState start(const MatchAdjustmentSpec& spec, std::uint64_t seed) {
    if (spec.bracket)
        return start_bracketing_adjustment(spec.problem, {seed, kStreamFirstSide}, *spec.bracket);
    return start_adjustment(spec.problem, {seed, kStreamStartingPoints}, spec.trial);
}

std::optional<TrialRequest> next_trial(const MatchAdjustmentSpec& spec, const AdjustmentState& state) {
    if (state.accepted || state.timed_out)
        return std::nullopt;
    TrialRequest request;
    request.number = spec.trial;
    request.form = AnswerForm::adjustment;
    request.level.assign(state.position.begin(), state.position.end());
    return request;
}

AdjustmentState respond(const MatchAdjustmentSpec& spec, AdjustmentState state,
                        const TrialResponse& response) {
    return respond(spec.problem, std::move(state),
                   AdjustmentResponse{kind_of(response.kind), response.axis, response.value, response.coarse,
                                      response.elapsed_s});
}

AdjustmentState result(const MatchAdjustmentSpec&, const AdjustmentState& state) {
    return state;
}

}  // namespace isoseam
