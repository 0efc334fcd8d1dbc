#pragma once
// Runs one trial of a task: the field without a target for a while, then the target, and an answer.

#include "protocols/course/course.h"
#include "runner/session/session_context.h"

namespace isoseam {

// Returns what an answer to a trial of a task is expected to be, without the lights to compare. `request`
// must not ask for an adjustment.
ExpectAnswer expected_answer(const TrialRequest& request, const FieldGeometry& field);

// Shows the course's next trial, responds to the course and records the answer. Returns none when the
// participant leaves. A trial that is paused before it is answered is shown anew.
std::optional<EndedTrial> run_answer_trial(SessionContext& context, Course& course);

}  // namespace isoseam
