#include "results_schema/records.h"

#include <fmt/format.h>

#include <algorithm>

#include "base/errors.h"
#include "results_schema/log_line.h"
#include "results_schema/schema_check.h"

namespace isoseam {

// The library's from_json asks for every key; the schemas, which are checked first, forbid others. What may
// be left out is added below.
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(StoredText, file, sha256, text)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(SourceRecord, name, calibration, screen, bits)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(FramesRecord, shown, late, dropped)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(ClockRecord, stamp, period_ms, spread_ms, synchronised)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(ScreenRecord, index, name, width_px, height_px, refresh_hz, bits,
                                   video_driver, renderer, gl_version)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(ObserverRecord, description, field_deg, age_years)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(SessionHeader, session, participant, kind, started_utc, program_version,
                                   seed, protocol, calibrations, files, sources, screens, observer,
                                   planned_settings, demo_calibration, cautions, simulated_observer)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(HalfRecord, half, source, linear, code, bits, lms)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(SettingRecord, trial, condition, repeat, adjusted_half, reference_half,
                                   space, axes, start, setting, path_length, steps, refused_steps,
                                   start_shrunk_to, duration_s, adjusted, reference, start_adjusted,
                                   target_lms, predicted_lms, contrast_from_predicted)

NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(AnswerRecord, trial, condition, repeat, run, track, form, space, axes,
                                   level, target, practice, catch_trial, places, answer, answer_value,
                                   duration_s, shown, reference, ignored_presses)

namespace {

constexpr std::size_t kLongestCode = 32;

bool is_code_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_';
}

nlohmann::json clock_json(const ClockRecord& clock) {
    nlohmann::json json = clock;
    if (clock.input_interval_ms)
        json["input_interval_ms"] = *clock.input_interval_ms;
    if (clock.latency_ms)
        json["latency_ms"] = *clock.latency_ms;
    return json;
}

ClockRecord clock_from_json(const nlohmann::json& json) {
    ClockRecord clock = json.get<ClockRecord>();
    if (json.contains("input_interval_ms"))
        clock.input_interval_ms = json.at("input_interval_ms").get<double>();
    if (json.contains("latency_ms"))
        clock.latency_ms = json.at("latency_ms").get<double>();
    return clock;
}

void require_schema(SchemaPart part, const nlohmann::json& json, const std::string& remedy) {
    std::vector<Fault> faults;
    for (const SchemaFault& fault : schema_faults(part, json)) {
        faults.push_back({"", 0, 0, fault.pointer, fault.what, remedy});
    }
    if (!faults.empty()) {
        throw InputError(faults);
    }
}

}  // namespace

bool is_participant_code(const std::string& code) {
    return !code.empty() && code.size() <= kLongestCode &&
           std::all_of(code.begin(), code.end(), is_code_letter);
}

nlohmann::json to_json(const SessionHeader& header) {
    nlohmann::json json = header;
    json["results_version"] = kResultsVersion;
    for (std::size_t i = 0; i < header.sources.size(); ++i) {
        json["sources"][i]["dither"] = header.sources[i].dither;
        if (header.sources[i].centre_px)
            json["sources"][i]["centre_px"] = *header.sources[i].centre_px;
    }
    for (std::size_t i = 0; i < header.screens.size(); ++i) {
        if (header.screens[i].clock)
            json["screens"][i]["clock"] = clock_json(*header.screens[i].clock);
    }
    check_finite(json);
    return json;
}

SessionHeader session_header_from_json(const nlohmann::json& json) {
    require_schema(SchemaPart::session, json, "session.json must follow schema/session.schema.json");
    // Not by the schema: JSON Schema libraries take whole numbers of 64 bits for signed ones.
    if (!json.at("seed").is_number_unsigned()) {
        throw InputError(Fault{"", 0, 0, "/seed", fmt::format("'{}' is not a seed", json.at("seed").dump()),
                               "a seed is a whole number from 0 to 2^64 - 1"});
    }
    SessionHeader header = json.get<SessionHeader>();
    for (std::size_t i = 0; i < header.sources.size(); ++i) {
        const nlohmann::json& source = json.at("sources").at(i);
        header.sources[i].dither = source.value("dither", header.sources[i].dither);
        if (source.contains("centre_px"))
            header.sources[i].centre_px = source.at("centre_px").get<std::array<double, 2>>();
    }
    for (std::size_t i = 0; i < header.screens.size(); ++i) {
        const nlohmann::json& screen = json.at("screens").at(i);
        if (screen.contains("clock"))
            header.screens[i].clock = clock_from_json(screen.at("clock"));
    }
    return header;
}

nlohmann::json to_json(const SettingRecord& setting) {
    nlohmann::json json = setting;
    if (setting.frames)
        json["frames"] = *setting.frames;
    json["ignored_presses"] = setting.ignored_presses;
    check_finite(json);
    return json;
}

SettingRecord setting_from_json(const nlohmann::json& json) {
    require_schema(SchemaPart::setting, json, "a setting must follow schema/settings.schema.json");
    SettingRecord setting = json.get<SettingRecord>();
    if (json.contains("frames"))
        setting.frames = json.at("frames").get<FramesRecord>();
    setting.ignored_presses = json.value("ignored_presses", 0);
    return setting;
}

nlohmann::json to_json(const AnswerRecord& answer) {
    nlohmann::json json = answer;
    if (answer.target_place)
        json["target_place"] = *answer.target_place;
    if (answer.right)
        json["right"] = *answer.right;
    if (answer.frames)
        json["frames"] = *answer.frames;
    check_finite(json);
    return json;
}

AnswerRecord answer_from_json(const nlohmann::json& json) {
    require_schema(SchemaPart::answer, json, "an answer must follow schema/settings.schema.json");
    AnswerRecord answer = json.get<AnswerRecord>();
    if (json.contains("target_place"))
        answer.target_place = json.at("target_place").get<std::string>();
    if (json.contains("right"))
        answer.right = json.at("right").get<bool>();
    if (json.contains("frames"))
        answer.frames = json.at("frames").get<FramesRecord>();
    return answer;
}

}  // namespace isoseam
