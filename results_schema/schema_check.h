#pragma once
// Holds JSON against the schemas of this folder.

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

namespace isoseam {

enum class SchemaPart {
    session,  // session.json
    line,     // one line of settings.jsonl
    setting,  // `data` of a line whose event is "setting"
    answer,   // the same of "answer"
};

struct SchemaFault {
    std::string pointer;  // JSON pointer (RFC 6901) of the value that is wrong, "" for the whole
    std::string what;     // what is wrong with it, and its value
};

// Empty when `json` follows the schema.
std::vector<SchemaFault> schema_faults(SchemaPart part, const nlohmann::json& json);

}  // namespace isoseam
