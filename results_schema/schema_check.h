#pragma once
// Holds JSON against the schemas of this folder.
//
//     const std::vector<SchemaFault> faults = schema_faults(SchemaPart::line, json);

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <string_view>
#include <vector>

namespace isoseam {

enum class SchemaPart {
    session,  // session.json
    line,     // one line of settings.jsonl
    setting,  // `data` of a line whose event is "setting"
    answer,   // `data` of a line whose event is "answer"
};

struct SchemaFault {
    std::string pointer;  // JSON pointer (RFC 6901) of the value that is wrong; "" is the whole
    std::string what;     // what is wrong with the value, and the value itself
};

// The result is empty when `json` follows the schema.
std::vector<SchemaFault> schema_faults(SchemaPart part, const nlohmann::json& json);

// InputError with all faults, each with its JSON pointer as the key, unless `json` follows the schema.
void require_schema(SchemaPart part, const nlohmann::json& json, const std::string& remedy);

// The schemas as text, byte for byte as in the files that they were compiled in from.
std::string_view session_schema_text();
std::string_view settings_schema_text();

}  // namespace isoseam
