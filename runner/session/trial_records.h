#pragma once
// Makes the record of a trial of a session: of an accepted setting, or of an answer.
//
//     SettingRecord setting = setting_record(setup, station, trial, problem, ended, reference, duration_s);
//     log.append(time_s, setting);

#include "protocols/course/course.h"
#include "results_schema/answer_record.h"
#include "runner/station/station.h"

namespace isoseam {

const std::string& condition_name(const Protocol& protocol, const CourseTrial& trial);

// None where no frame was counted.
std::optional<FramesRecord> frames_record(const FrameCounts& counts);

// The record of an accepted setting, as the station showed it. The caller adds the frames and the ignored
// presses.
SettingRecord setting_record(const Setup& setup, const Station& station, const CourseTrial& trial,
                             const AdjustmentProblem& problem, const AdjustmentState& setting,
                             const LinearDrive& reference, double duration_s);

// The record of an answer to a trial of a task whose level was shown as `shown`. The caller adds the
// duration, the frames and the ignored presses.
AnswerRecord answer_record(const Setup& setup, const Station& station, const CourseTrial& trial,
                           const AdjustmentProblem& problem, const AnsweredTrial& answered,
                           const LinearDrive& shown, const LinearDrive& reference);
// Returns what was answered, for the course of a session that is resumed.
TrialResponse response_of(const AnswerRecord& answer);

}  // namespace isoseam
