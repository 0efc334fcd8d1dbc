#include "results_schema/records.h"

#include <fmt/format.h>

#include <algorithm>

#include "colorimetry/errors.h"
#include "results_schema/log_line.h"
#include "results_schema/schema_check.h"

namespace isoseam {

// The library's from_json asks for every key; the schemas, which are checked first, forbid others.
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(StoredText, file, sha256, text)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(SourceRecord, name, calibration, screen, bits)
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

namespace {

constexpr std::size_t kLongestCode = 32;

bool is_code_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_';
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
    return json.get<SessionHeader>();
}

nlohmann::json to_json(const SettingRecord& setting) {
    nlohmann::json json = setting;
    check_finite(json);
    return json;
}

SettingRecord setting_from_json(const nlohmann::json& json) {
    require_schema(SchemaPart::setting, json, "a setting must follow schema/settings.schema.json");
    return json.get<SettingRecord>();
}

}  // namespace isoseam
