#pragma once
// What a session writes down of its trials: each accepted setting and each answer.

#include "protocols/course/course.h"
#include "results_schema/records.h"
#include "runner/station/station.h"

namespace isoseam {

// An accepted setting, as it was shown on the station.
SettingRecord setting_record(const Setup& setup, const Station& station, const CourseTrial& trial,
                             const AdjustmentProblem& problem, const AdjustmentState& setting,
                             const LinearDrive& reference, double duration_s);

// An answer to a trial of a task. `shown` is the light that showed the trial's level. The caller adds
// duration and counts.
AnswerRecord answer_record(const Setup& setup, const Station& station, const CourseTrial& trial,
                           const AdjustmentProblem& problem, const AnsweredTrial& answered,
                           const LinearDrive& shown, const LinearDrive& reference);
// The response behind a recorded answer, for the course of a session that continues.
TrialResponse response_of(const AnswerRecord& answer);

}  // namespace isoseam
