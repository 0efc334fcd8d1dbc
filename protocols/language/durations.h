#pragma once
// How many trials a protocol has, and how long they will take.
//
//     expected_duration_s(protocol) / 60.0    // minutes of a session
#include "protocols/language/protocol.h"

namespace isoseam {

// The number of settings and answers. For a task see planned_trials in procedures/task.h.
int planned_trials(const Protocol& protocol);

// The time that pages (kSecondsPerPage each), adaptation, top-ups before all settings but the first, settings
// and rests (kSecondsPerRest each) take together.
double expected_duration_s(const Protocol& protocol);
// The same for one block: its pages, adaptation, trials and rests.
double expected_duration_s(const Protocol& protocol, int block);
int planned_trials(const Protocol& protocol, int block);
inline constexpr double kSecondsPerPage = 15.0;
inline constexpr double kSecondsPerRest = 30.0;

}  // namespace isoseam
