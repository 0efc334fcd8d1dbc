#pragma once
// What a session writes down: its header, and each accepted setting.

#include "protocols/protocol.h"
#include "results_schema/records.h"
#include "runner/station.h"

namespace isoseam {

// Everything of a session's header but who, when and of what kind, which the caller adds.
SessionHeader describe_session(const Setup& setup, std::uint64_t seed, const Station& station);

// An accepted setting, as it was shown on the station.
SettingRecord setting_record(const Setup& setup, const Station& station, const Trial& trial,
                             const AdjustmentProblem& problem, const AdjustmentState& state,
                             const LinearDrive& reference, double duration_s);

}  // namespace isoseam
