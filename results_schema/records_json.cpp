// The JSON of a session's header, of settings and of answers.
#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "base/errors.h"
#include "results_schema/answer_record.h"
#include "results_schema/log_line.h"
#include "results_schema/schema_check.h"
#include "results_schema/session_header.h"

namespace isoseam {

// The JSON library finds these two for each record that lists its fields. A field without a value is left
// out.
template <Fielded Record>
void to_json(nlohmann::json& json, const Record& record) {
    for_each_field<Record>([&](auto field) {
        const auto& value = field.of(record);
        if constexpr (!field.kOptional) {
            json[field.kName] = value;
        } else if (value) {
            json[field.kName] = *value;
        }
    });
}

// Unknown names are refused by the schema, which is held first.
template <Fielded Record>
void from_json(const nlohmann::json& json, Record& record) {
    for_each_field<Record>([&](auto field) {
        auto& value = field.of(record);
        if (!field.kRequired && !json.contains(field.kName)) {
            return;
        }
        if constexpr (field.kOptional) {
            json.at(field.kName).get_to(value.emplace());
        } else {
            json.at(field.kName).get_to(value);
        }
    });
}

// These records have no field that may be missing.
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(StoredText, file, sha256, text)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(ObserverRecord, description, field_deg, age_years)
NLOHMANN_DEFINE_TYPE_NON_INTRUSIVE(SessionHeader, session, participant, kind, started_utc, program_version,
                                   seed, protocol, calibrations, files, sources, screens, observer,
                                   planned_settings, demo_calibration, cautions, simulated_observer)

namespace {

template <class Record>
nlohmann::json finite_json(const Record& record) {
    nlohmann::json json = record;
    check_finite(json);
    return json;
}

}  // namespace

nlohmann::json to_json(const SessionHeader& header) {
    nlohmann::json json = finite_json(header);
    json["results_version"] = kResultsVersion;
    return json;
}

nlohmann::json to_json(const SettingRecord& setting) {
    return finite_json(setting);
}

nlohmann::json to_json(const AnswerRecord& answer) {
    return finite_json(answer);
}

SessionHeader session_header_from_json(const nlohmann::json& json) {
    require_schema(SchemaPart::session, json, "session.json must follow schema/session.schema.json");
    // The schema does not see this: JSON Schema libraries take whole numbers of 64 bits for signed ones.
    if (!json.at("seed").is_number_unsigned()) {
        throw InputError("/seed", fmt::format("'{}' is not a seed", json.at("seed").dump()),
                         "a seed is a whole number from 0 to 2^64 - 1");
    }
    return json.get<SessionHeader>();
}

SettingRecord setting_from_json(const nlohmann::json& json) {
    require_schema(SchemaPart::setting, json, "a setting must follow schema/settings.schema.json");
    return json.get<SettingRecord>();
}

AnswerRecord answer_from_json(const nlohmann::json& json) {
    require_schema(SchemaPart::answer, json, "an answer must follow schema/settings.schema.json");
    return json.get<AnswerRecord>();
}

}  // namespace isoseam
