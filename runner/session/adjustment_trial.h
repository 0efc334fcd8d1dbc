#pragma once
// One setting by adjustment, from its starting point until it is accepted or its time is over.

#include "protocols/course/course.h"
#include "runner/session/session_context.h"

namespace isoseam {

// Shows the course's next trial, responds to the course and records how the trial ended. Returns none when
// the participant leaves.
std::optional<EndedTrial> run_adjustment(SessionContext& context, Course& course);

}  // namespace isoseam
