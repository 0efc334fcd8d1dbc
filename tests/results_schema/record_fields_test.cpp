// Each record's list of fields against the published schema of the record, both ways.
#include "results_schema/record_fields.h"

#include <catch2/catch.hpp>
#include <limits>
#include <nlohmann/json.hpp>
#include <set>
#include <string>
#include <vector>

#include "results_schema/answer_record.h"
#include "results_schema/schema_check.h"
#include "results_schema/session_header.h"

using namespace isoseam;

namespace {

using Names = std::set<std::string>;

// With what a reference stands for.
nlohmann::json resolved(const nlohmann::json& schema, nlohmann::json property) {
    while (property.contains("$ref")) {
        const auto place = property.at("$ref").get<std::string>().substr(1);
        property = schema.at(nlohmann::json::json_pointer(place));
    }
    return property;
}

template <Fielded Record>
void check_names(const nlohmann::json& record_schema) {
    Names listed;
    Names required;
    for_each_field<Record>([&](auto field) {
        listed.emplace(field.kName);
        if (field.kRequired)
            required.emplace(field.kName);
    });
    Names properties;
    for (const auto& [name, property] : record_schema.at("properties").items())
        properties.insert(name);
    CHECK(listed == properties);
    CHECK(required == record_schema.at("required").get<Names>());
}

void check_numbers(const nlohmann::json& property, const FieldTerms& terms, const char* type) {
    CHECK(property.at("type") == type);
    CHECK(property.value("minimum", -std::numeric_limits<double>::infinity()) == terms.least);
    CHECK(property.value("maximum", std::numeric_limits<double>::infinity()) == terms.most);
    CHECK_FALSE(property.contains("exclusiveMinimum"));
    CHECK_FALSE(property.contains("exclusiveMaximum"));
}

template <class Value>
void check_value(const nlohmann::json& schema, const nlohmann::json& property, const FieldTerms& terms) {
    if constexpr (kIsOptional<Value>) {
        check_value<typename Value::value_type>(schema, property, terms);
    } else if constexpr (Fielded<Value>) {
        CHECK(property.at("type") == "object");
    } else if constexpr (std::is_same_v<Value, bool>) {
        CHECK(property.at("type") == "boolean");
    } else if constexpr (std::is_floating_point_v<Value>) {
        check_numbers(property, terms, "number");
    } else if constexpr (std::is_integral_v<Value>) {
        check_numbers(property, terms, "integer");
    } else if constexpr (!std::is_same_v<Value, std::string>) {
        constexpr bool kIsLms = std::is_same_v<Value, std::array<double, 3>>;
        CHECK(property.at("type") == "array");
        CHECK(property.at("minItems") == (kIsLms ? 3 : terms.fewest));
        CHECK(property.at("maxItems") == (kIsLms ? 3 : terms.most_items));
        check_value<typename Value::value_type>(schema, resolved(schema, property.at("items")), terms);
    } else if (terms.words.empty()) {
        CHECK(property.at("type") == "string");
        CHECK(property.at("minLength") == 1);
    } else {
        CHECK(property.at("enum") ==
              nlohmann::json(std::vector<std::string>(terms.words.begin(), terms.words.end())));
    }
}

// The quick reader of a log holds the limits of the list, and every other reader those of the schema.
template <Fielded Record>
void check_record(const char* definition) {
    const auto schema = nlohmann::json::parse(settings_schema_text());
    const nlohmann::json& record = schema.at("$defs").at(definition);
    INFO(definition);
    check_names<Record>(record);
    for_each_field<Record>([&](auto field) {
        INFO(field.kName);
        const auto property = record.at("properties").find(field.kName);
        REQUIRE(property != record.at("properties").end());
        check_value<typename decltype(field)::Value>(schema, resolved(schema, *property), field.kTerms);
    });
}

}  // namespace

TEST_CASE("the fields of each record are those of its schema, with the same limits") {
    check_record<SettingRecord>("setting");
    check_record<AnswerRecord>("answer");
    check_record<HalfRecord>("half");
    check_record<FramesRecord>("frames");
}

TEST_CASE("the fields of what a session's header lists are those of its schema") {
    const auto schema = nlohmann::json::parse(session_schema_text());
    const nlohmann::json& header = schema.at("properties");
    const nlohmann::json& screen = header.at("screens").at("items");
    check_names<SourceRecord>(header.at("sources").at("items"));
    check_names<ScreenRecord>(screen);
    check_names<ClockRecord>(screen.at("properties").at("clock"));
}

TEST_CASE("a record's text has its names in the order of the JSON library") {
    std::string text;
    all_in_text_order<FramesRecord>([&](auto field) {
        text.append(field.kKey).append("0");
        return true;
    });
    CHECK(text + "}" == nlohmann::json{{"shown", 0}, {"late", 0}, {"dropped", 0}}.dump());
}
