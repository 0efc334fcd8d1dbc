#pragma once
// One trial of a task: the field without a target for a while, the target, and an answer.

#include "protocols/course/course.h"
#include "runner/session/session_context.h"

namespace isoseam {

// Shows the course's next trial, responds to the course and records the answer. None when the participant
// leaves. A trial that is paused before it is answered is shown anew.
std::optional<EndedTrial> run_answer_trial(SessionContext& context, Course& course);

}  // namespace isoseam
