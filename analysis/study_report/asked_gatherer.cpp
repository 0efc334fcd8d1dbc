#include "analysis/study_report/asked_gatherer.h"

#include "base/errors.h"
#include "calibration/display_model.h"
#include "colorimetry/colour_space.h"

namespace isoseam {

// The lights of one session, where its calibrations can be read.
struct AskedGatherer::Lights {
    Lights(const SessionHeader& header, KnownScreens& screens) {
        try {
            shown.emplace(header, screens);
        } catch (const InputError&) {  // told where calibrations are listed
        }
    }

    bool share(const HalfRecord& a, const HalfRecord& b) const {
        if (a.source == b.source)
            return true;
        const auto [found, is_new] = shared.try_emplace({a.source, b.source}, false);
        if (is_new)
            found->second = share_primaries(shown->display(a), shown->display(b));
        return found->second;
    }

    std::optional<ShownLights> shown;
    mutable std::map<std::pair<std::string, std::string>, bool> shared;
};

namespace {

// Counts a record that is no practice.
void count(AskedCondition& condition, const std::string& participant,
           const std::optional<FramesRecord>& frames) {
    ++condition.records_by_participant[participant];
    condition.late += had_late_frames(frames) ? 1 : 0;
    condition.timed_by_frames |= frames.has_value();
}

}  // namespace

template <class Record>
AskedCondition& AskedGatherer::condition_of(const Record& record, const std::string& form,
                                            const std::optional<int>& places) {
    const auto [at, is_new] = conditions_.try_emplace(
        Key{form != "setting", record.condition, form, record.space, record.axes, places});
    AskedCondition& condition = at->second;
    if (is_new) {
        condition.condition = record.condition;
        condition.form = form;
        condition.places = places;
        condition.space = record.space;
        condition.axes = record.axes;
        condition.shares_primaries = true;
    }
    return condition;
}

void AskedGatherer::add_halves(AskedCondition& condition, const HalfRecord& shown,
                               const HalfRecord& reference, const Lights& lights) const {
    condition.shown_halves.insert(shown.half);
    condition.shown_sources.insert(shown.source);
    condition.reference_halves.insert(reference.half);
    condition.reference_sources.insert(reference.source);
    if (!lights.shown) {
        condition.primaries_known = condition.primaries_known && shown.source == reference.source;
        condition.shares_primaries = condition.shares_primaries && shown.source == reference.source;
        condition.three_primaries = false;
        return;
    }
    condition.shares_primaries = condition.shares_primaries && lights.share(shown, reference);
    for (const HalfRecord* half : {&shown, &reference})
        condition.three_primaries &= lights.shown->display(*half).primary_count() == 3;
    if (!lights.shown->display(reference).calibration().scale_known)
        return;
    const Xyz xyz = lights.shown->xyz(reference);
    condition.luminance_cd_m2.widen(xyz.y);
    if (has_chromaticity(xyz)) {
        const Chromaticity at = xyy_from_xyz(xyz).chromaticity;
        condition.x.widen(at.x);
        condition.y.widen(at.y);
    }
}

void AskedGatherer::add_setting(const std::string& participant, const SettingRecord& setting,
                                const Lights& lights) {
    AskedCondition& condition = condition_of(setting, "setting", std::nullopt);
    count(condition, participant, setting.frames);
    condition.start.resize(setting.axes.size());
    for (std::size_t axis = 0; axis < setting.axes.size(); ++axis)
        condition.start[axis].widen(setting.start[axis]);
    add_halves(condition, setting.adjusted, setting.reference, lights);
}

void AskedGatherer::add_answer(const std::string& participant, const AnswerRecord& answer,
                               const Lights& lights) {
    const std::optional<int> places = answer.form == "place" ? std::optional(answer.places) : std::nullopt;
    AskedCondition& condition = condition_of(answer, answer.form, places);
    add_halves(condition, answer.shown, answer.reference, lights);
    if (answer.practice) {
        ++condition.practice;
        return;
    }
    count(condition, participant, answer.frames);
    condition.catch_trials += answer.catch_trial ? 1 : 0;
    if (answer.target && answer.level.size() == 1)
        condition.level.widen(answer.level.front());
}

void AskedGatherer::add_events(const SessionFolder& folder) {
    constexpr double kTolerableSeconds = 1.0;
    bool asked = false;
    bool asked_before_flicker = false;
    bool agreed = false;
    double adapting_s = 0.0;
    for (const Event& event : folder.events) {
        if (event.kind == "exclusion_asked")
            (event.data.contains("before_flicker") ? asked_before_flicker : asked) = true;
        agreed |= event.kind == "consent_given";
        asked_.rests += event.kind == "rest_started" ? 1 : 0;
        asked_.disturbances += event.kind == "paused" ? 1 : 0;
        asked_.timed_out += event.kind == "setting_timed_out" ? 1 : 0;
        if (event.kind == "adaptation_started") {
            adapting_s = event.data.at("duration_s").get<double>();
            asked_.adaptations.insert({event.data.at("light").get<std::string>(), adapting_s});
            ++asked_.adaptations_shown;
        }
        if (event.kind == "adaptation_ended" &&
            !(event.data.at("shown_s").get<double>() >= adapting_s - kTolerableSeconds))
            ++asked_.adaptations_cut_short;
    }
    asked_.asked_exclusion += asked ? 1 : 0;
    asked_.asked_before_flicker += asked_before_flicker ? 1 : 0;
    asked_.agreed += agreed ? 1 : 0;
}

void AskedGatherer::add(const SessionFolder& folder) {
    constexpr std::size_t kDayLetters = 10;  // of "2026-11-25T16:03:12Z"
    const SessionHeader& header = folder.header;
    facts_.add(header);
    ++asked_.states[to_string(folder.state)];
    asked_.program_versions.insert(header.program_version);
    asked_.observers.insert(header.observer.description);
    asked_.sessions_by_participant[header.participant].insert(header.session);
    asked_.planned.insert(static_cast<std::size_t>(header.planned_settings));
    if (header.kind == "session")
        asked_.days.insert(header.started_utc.substr(0, kDayLetters));
    for (const SourceRecord& source : header.sources)
        asked_.sources.insert({source.name, source.calibration, source.bits, source.dither});
    add_events(folder);
    const Lights lights(header, *screens_);
    for (const SettingRecord& setting : folder.settings)
        add_setting(header.participant, setting, lights);
    for (const AnswerRecord& answer : folder.answers)
        add_answer(header.participant, answer, lights);
}

AskedSeries AskedGatherer::finish() const {
    AskedSeries asked = asked_;
    asked.facts = facts_.facts();
    for (const auto& [key, condition] : conditions_)
        asked.conditions.push_back(condition);
    return asked;
}

}  // namespace isoseam
