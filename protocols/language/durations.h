#pragma once
// How many trials a protocol has, and how long they will take.
//
//     expected_duration_s(protocol) / 60.0    // minutes of a session
#include "protocols/language/protocol.h"

namespace isoseam {

// Settings and answers; see planned_trials of a task.
int planned_trials(const Protocol& protocol);

// Pages (kSecondsPerPage each), adaptation, top-ups before all settings but the first, settings, rests
// (kSecondsPerRest each).
double expected_duration_s(const Protocol& protocol);
// Of one block: its pages, adaptation, trials and rests.
double expected_duration_s(const Protocol& protocol, int block);
int planned_trials(const Protocol& protocol, int block);
inline constexpr double kSecondsPerPage = 15.0;
inline constexpr double kSecondsPerRest = 30.0;

}  // namespace isoseam
