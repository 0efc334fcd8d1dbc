#include "runner/session/trial_records.h"

#include "colorimetry/colour_space.h"
#include "runner/station/shown_records.h"

namespace isoseam {

SettingRecord setting_record(const Setup& setup, const Station& station, const CourseTrial& trial,
                             const AdjustmentProblem& problem, const AdjustmentState& state,
                             const LinearDrive& reference, double duration_s) {
    const Protocol& protocol = setup.protocol();
    const auto recorded = [&](Half which, const LinearDrive& linear) {
        return half_record(setup, station, which, linear);
    };
    SettingRecord setting;
    setting.trial = trial.number;
    setting.condition = protocol.conditions[static_cast<std::size_t>(trial.condition)].name;
    setting.repeat = trial.repeat;
    setting.adjusted_half = half_name(protocol.adjusted, protocol.field);
    setting.reference_half = half_name(setup.reference_half(), protocol.field);
    setting.space = to_string(problem.space);
    for (const AdjustmentAxis& axis : problem.axes)
        setting.axes.push_back(axis.name);
    setting.start = as_recorded(state.start);
    setting.setting = as_recorded(state.position);
    setting.path_length = state.path_length;
    setting.steps = state.steps;
    setting.refused_steps = state.refused_steps;
    setting.start_shrunk_to = state.start_shrunk_to;
    setting.duration_s = duration_s;
    setting.adjusted = recorded(protocol.adjusted, stimulus_at(problem, state.position).linear);
    setting.reference = recorded(setup.reference_half(), reference);
    setting.start_adjusted = recorded(protocol.adjusted, stimulus_at(problem, state.start).linear);
    setting.target_lms = as_recorded(lms_at(problem, state.position).vector());
    setting.predicted_lms = as_recorded(problem.predicted.vector());
    const auto lms = [](const HalfRecord& half) { return Lms{half.lms[0], half.lms[1], half.lms[2]}; };
    setting.contrast_from_predicted =
        as_recorded(cone_contrast(lms(setting.adjusted), problem.predicted).vector());
    return setting;
}

namespace {

TrialResponse::Kind kind_of(const std::string& form, const std::string& answer) {
    if (form == "place")
        return TrialResponse::Kind::place;
    if (form == "rating")
        return TrialResponse::Kind::rating;
    if (form == "same_different")
        return answer == "same" ? TrialResponse::Kind::same : TrialResponse::Kind::different;
    return answer == "yes" ? TrialResponse::Kind::yes : TrialResponse::Kind::no;
}

std::string words_of(const TrialResponse& response, const FieldGeometry& field) {
    if (response.kind == TrialResponse::Kind::place)
        return place_names(field).at(static_cast<std::size_t>(response.value));
    if (response.kind == TrialResponse::Kind::rating)
        return std::to_string(response.value);
    return to_string(response.kind);
}

}  // namespace

AnswerRecord answer_record(const Setup& setup, const Station& station, const CourseTrial& trial,
                           const AdjustmentProblem& problem, const AnsweredTrial& answered,
                           const LinearDrive& shown, const LinearDrive& reference) {
    const Protocol& protocol = setup.protocol();
    const TrialRequest& request = answered.request;
    AnswerRecord record;
    record.trial = trial.number;
    record.condition = protocol.conditions[static_cast<std::size_t>(trial.condition)].name;
    record.repeat = trial.repeat;
    record.run = trial.run;
    record.track = request.track;
    record.form = to_string(request.form);
    record.space = to_string(problem.space);
    for (const AdjustmentAxis& axis : problem.axes)
        record.axes.push_back(axis.name);
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
