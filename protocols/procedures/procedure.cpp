#include "protocols/procedures/procedure.h"

#include <utility>

namespace isoseam {
namespace {

// The state that belongs to a spec: TaskState to TaskSpec, and so on.
template <typename Spec>
using StateOf = decltype(start(std::declval<const Spec&>(), std::uint64_t{}));

}  // namespace

ProcedureState start(const ProcedureSpec& spec, std::uint64_t seed) {
    return std::visit([&](const auto& one) -> ProcedureState { return start(one, seed); }, spec);
}

std::optional<TrialRequest> next_trial(const ProcedureSpec& spec, const ProcedureState& state) {
    return std::visit(
        [&]<typename Spec>(const Spec& one) { return next_trial(one, std::get<StateOf<Spec>>(state)); },
        spec);
}

ProcedureState respond(const ProcedureSpec& spec, ProcedureState state, const TrialResponse& response) {
    return std::visit(
        [&]<typename Spec>(const Spec& one) -> ProcedureState {
            return respond(one, std::move(std::get<StateOf<Spec>>(state)), response);
        },
        spec);
}

ProcedureResult result(const ProcedureSpec& spec, const ProcedureState& state) {
    return std::visit(
        [&]<typename Spec>(const Spec& one) -> ProcedureResult {
            return result(one, std::get<StateOf<Spec>>(state));
        },
        spec);
}

ProcedureState replay(const ProcedureSpec& spec, std::uint64_t seed,
                      std::span<const TrialResponse> responses) {
    ProcedureState state = start(spec, seed);
    for (const TrialResponse& response : responses)
        state = respond(spec, std::move(state), response);
    return state;
}

}  // namespace isoseam
