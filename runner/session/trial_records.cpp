#include "runner/session/trial_records.h"

#include <fmt/format.h>

#include "base/errors.h"
#include "colorimetry/colour_space.h"
#include "runner/station/shown_records.h"

namespace isoseam {
namespace {

// Adds what settings and answers both say of their trial.
template <class Record>
void describe(Record& record, const Setup& setup, const CourseTrial& trial,
              const AdjustmentProblem& problem) {
    record.trial = trial.number;
    record.condition = condition_name(setup.protocol(), trial);
    record.repeat = trial.repeat;
    record.space = to_string(problem.space);
    for (const AdjustmentAxis& axis : problem.axes)
        record.axes.push_back(axis.name);
}

TrialResponse::Kind kind_of(const std::string& form, const std::string& answer) {
    using Kind = TrialResponse::Kind;
    for (const Kind kind : {Kind::yes, Kind::no, Kind::same, Kind::different}) {
        if (answer == to_string(kind))
            return kind;
    }
    if (form == "place")
        return Kind::place;
    if (form == "rating")
        return Kind::rating;
    throw InputError("answer", fmt::format("'{}' is no answer of the form {}", answer, form),
                     "the record was changed after it was written: go on from an unchanged copy");
}

std::string words_of(const TrialResponse& response, const FieldGeometry& field) {
    if (response.kind == TrialResponse::Kind::place)
        return place_names(field).at(static_cast<std::size_t>(response.value));
    if (response.kind == TrialResponse::Kind::rating)
        return std::to_string(response.value);
    return to_string(response.kind);
}

}  // namespace

const std::string& condition_name(const Protocol& protocol, const CourseTrial& trial) {
    return protocol.conditions[static_cast<std::size_t>(trial.condition)].name;
}

std::optional<FramesRecord> frames_record(const FrameCounts& counts) {
    return counts.shown > 0 ? std::optional(FramesRecord{counts.shown, counts.late, counts.dropped})
                            : std::nullopt;
}

SettingRecord setting_record(const Setup& setup, const Station& station, const CourseTrial& trial,
                             const AdjustmentProblem& problem, const AdjustmentState& state,
                             const LinearDrive& reference, double duration_s) {
    SettingRecord setting =
        shown_setting(setup, station, setup.protocol().adjusted, stimulus_at(problem, state.start).linear,
                      stimulus_at(problem, state.position).linear, reference);
    describe(setting, setup, trial, problem);
    setting.start = as_recorded(state.start);
    setting.setting = as_recorded(state.position);
    setting.path_length = state.path_length;
    setting.steps = state.steps;
    setting.refused_steps = state.refused_steps;
    setting.start_shrunk_to = state.start_shrunk_to;
    setting.duration_s = duration_s;
    setting.target_lms = as_recorded(lms_at(problem, state.position).vector());
    setting.predicted_lms = as_recorded(problem.predicted.vector());
    setting.contrast_from_predicted =
        as_recorded(cone_contrast(lms_of(setting.adjusted), problem.predicted).vector());
    return setting;
}

AnswerRecord answer_record(const Setup& setup, const Station& station, const CourseTrial& trial,
                           const AdjustmentProblem& problem, const AnsweredTrial& answered,
                           const LinearDrive& shown, const LinearDrive& reference) {
    const Protocol& protocol = setup.protocol();
    const TrialRequest& request = answered.request;
    AnswerRecord record;
    describe(record, setup, trial, problem);
    record.run = trial.run;
    record.track = request.track;
    record.form = to_string(request.form);
    record.level = request.level;
    record.target = request.target;
    record.practice = request.practice;
    record.catch_trial = request.catch_trial;
    record.places = request.form == AnswerForm::place ? request.places : 1;
    if (request.target_place)
        record.target_place = place_names(protocol.field).at(static_cast<std::size_t>(*request.target_place));
    record.answer = words_of(answered.response, protocol.field);
    record.answer_value = answered.response.value;
    record.right = answered.verdict.right;
    // Where both halves may have the target, this is the half that had it.
    const bool in_either_half =
        request.form == AnswerForm::place && protocol.field.parts == FieldParts::halves;
    const Half half =
        in_either_half && request.target_place ? static_cast<Half>(*request.target_place) : protocol.adjusted;
    record.shown = half_record(setup, station, half, shown);
    record.reference = half_record(setup, station, other(half), reference);
    return record;
}

TrialResponse response_of(const AnswerRecord& answer) {
    TrialResponse response;
    response.kind = kind_of(answer.form, answer.answer);
    response.value = answer.answer_value;
    return response;
}

}  // namespace isoseam
