// The only file that knows the JSON Schema library, which is slow to compile.
#include "results_schema/schema_check.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <string_view>
#include <valijson/adapters/nlohmann_json_adapter.hpp>
#include <valijson/schema.hpp>
#include <valijson/schema_parser.hpp>
#include <valijson/validation_results.hpp>
#include <valijson/validator.hpp>

#include "base/errors.h"

namespace isoseam {
namespace {

constexpr std::string_view kSessionSchema =
#include "session.schema.inc"
    ;
constexpr std::string_view kSettingsSchema =
#include "settings.schema.inc"
    ;
constexpr std::size_t kLongestQuote = 60;

nlohmann::json schema_json(SchemaPart part) {
    if (part == SchemaPart::session) {
        return nlohmann::json::parse(kSessionSchema);
    }
    nlohmann::json schema = nlohmann::json::parse(kSettingsSchema);
    if (part == SchemaPart::setting || part == SchemaPart::answer) {
        const char* what = part == SchemaPart::setting ? "#/$defs/setting" : "#/$defs/answer";
        return {{"$defs", schema.at("$defs")}, {"allOf", {{{"$ref", what}}}}};
    }
    return schema;
}

// The library keeps pointers into what it parsed, so a schema stays where it was made.
class CompiledSchema {
  public:
    explicit CompiledSchema(SchemaPart part) : json_(schema_json(part)) {
        valijson::SchemaParser parser;
        parser.populateSchema(valijson::adapters::NlohmannJsonAdapter(json_), schema_);
    }
    const valijson::Schema& schema() const { return schema_; }

  private:
    nlohmann::json json_;
    valijson::Schema schema_;
};

const valijson::Schema& compiled(SchemaPart part) {
    static const CompiledSchema session(SchemaPart::session);
    static const CompiledSchema line(SchemaPart::line);
    static const CompiledSchema setting(SchemaPart::setting);
    static const CompiledSchema answer(SchemaPart::answer);
    switch (part) {
        case SchemaPart::session:
            return session.schema();
        case SchemaPart::line:
            return line.schema();
        case SchemaPart::setting:
            return setting.schema();
        case SchemaPart::answer:
            break;
    }
    return answer.schema();
}

// The JSON pointer of a place, which the library names as "<root>", "[data]", "[0]".
nlohmann::json::json_pointer pointer_of(const std::vector<std::string>& context) {
    nlohmann::json::json_pointer pointer;
    for (const std::string& step : context) {
        if (step.size() >= 2 && step.front() == '[') {
            pointer.push_back(step.substr(1, step.size() - 2));
        }
    }
    return pointer;
}

std::string quoted(const nlohmann::json& root, const nlohmann::json::json_pointer& pointer) {
    if (!root.contains(pointer)) {
        return "nothing";
    }
    std::string text = root.at(pointer).dump(-1, ' ', true, nlohmann::json::error_handler_t::replace);
    if (text.size() > kLongestQuote) {
        text = text.substr(0, kLongestQuote) + "...";
    }
    return text;
}

// Whether the fault only repeats another. Besides a fault itself the library reports every schema around it
// that failed for that reason.
bool is_echo(const std::string& description) {
    return description.starts_with("Failed to validate");
}

}  // namespace

std::vector<SchemaFault> schema_faults(SchemaPart part, const nlohmann::json& json) {
    thread_local valijson::Validator validator;  // keeps the patterns that it compiled
    valijson::ValidationResults results;
    if (validator.validate(compiled(part), valijson::adapters::NlohmannJsonAdapter(json), &results)) {
        return {};
    }
    std::vector<SchemaFault> faults;
    valijson::ValidationResults::Error error;
    while (results.popError(error)) {
        const auto pointer = pointer_of(error.context);
        SchemaFault fault{pointer.to_string(),
                          fmt::format("{} Found: {}", error.description, quoted(json, pointer))};
        const bool known = std::any_of(faults.begin(), faults.end(), [&](const SchemaFault& other) {
            return other.pointer == fault.pointer && other.what == fault.what;
        });
        if (!known && !is_echo(error.description)) {
            faults.push_back(std::move(fault));
        }
    }
    if (faults.empty()) {
        faults.push_back({"", fmt::format("does not follow the schema. Found: {}",
                                          quoted(json, nlohmann::json::json_pointer()))});
    }
    return faults;
}

void require_schema(SchemaPart part, const nlohmann::json& json, const std::string& remedy) {
    std::vector<Fault> faults;
    for (const SchemaFault& fault : schema_faults(part, json)) {
        faults.push_back({"", 0, 0, fault.pointer, fault.what, remedy});
    }
    throw_if_any(faults);
}

std::string_view session_schema_text() {
    return kSessionSchema;
}

std::string_view settings_schema_text() {
    return kSettingsSchema;
}

}  // namespace isoseam
