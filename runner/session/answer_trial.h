#pragma once
// One trial of a task: the field without a target for a while, the target, and an answer.

#include "protocols/course/course.h"
#include "runner/session/session_context.h"

namespace isoseam {

// The answer that a trial of a task asks for, without the lights to compare. `request` asks for no
// adjustment.
ExpectAnswer expected_answer(const TrialRequest& request, const FieldGeometry& field);

// Shows the course's next trial, responds to the course and records the answer. None when the participant
// leaves. A trial that is paused before it is answered is shown anew.
std::optional<EndedTrial> run_answer_trial(SessionContext& context, Course& course);

}  // namespace isoseam
