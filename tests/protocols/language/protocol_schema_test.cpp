// The schema for editors is held to the reader: what the reader takes validates, and both know the same keys.

#include "protocols/language/protocol_schema.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <set>
#include <valijson/adapters/nlohmann_json_adapter.hpp>
#include <valijson/schema.hpp>
#include <valijson/schema_parser.hpp>
#include <valijson/validation_results.hpp>
#include <valijson/validator.hpp>

#include "protocols/language/ready_protocols.h"
#include "support/json_of_yaml.h"
#include "support/protocols/example_protocol.h"
#include "support/protocols/readme_examples.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

const nlohmann::json& schema_json() {
    static const nlohmann::json json = nlohmann::json::parse(protocol_schema());
    return json;
}

// What is wrong with a protocol by the schema; "" when nothing is.
std::string schema_faults(const std::string& text) {
    static valijson::Schema schema;
    [[maybe_unused]] static const bool compiled = [] {
        valijson::SchemaParser().populateSchema(valijson::adapters::NlohmannJsonAdapter(schema_json()),
                                                schema);
        return true;
    }();
    const nlohmann::json json = json_of_yaml(YAML::Load(text));
    valijson::Validator validator(valijson::Validator::kStrongTypes);
    valijson::ValidationResults results;
    if (validator.validate(schema, valijson::adapters::NlohmannJsonAdapter(json), &results))
        return "";
    std::string faults;
    valijson::ValidationResults::Error error;
    while (results.popError(error)) {
        for (const std::string& place : error.context)
            faults += place;
        faults += ": " + error.description + "\n";
    }
    return faults;
}

std::vector<std::string> sound_protocols() {
    std::vector<std::string> texts = readme_protocols();
    for (const ReadyProtocol& ready : ready_protocols())
        texts.push_back(file_bytes(ready.path));
    texts.push_back(kExample);
    return texts;
}

using Keys = std::set<std::string>;

// Keys of every object of the schema that knows all its keys.
void collect_keys(const nlohmann::json& part, std::set<Keys>& found) {
    if (part.is_object()) {
        if (part.contains("properties") && part.value("additionalProperties", true) == false) {
            Keys keys;
            for (const auto& [key, value] : part["properties"].items()) {
                INFO(key);
                CHECK_FALSE(value.value("description", "").empty());
                keys.insert(key);
            }
            found.insert(keys);
        }
        for (const auto& [key, value] : part.items())
            collect_keys(value, found);
    }
    if (part.is_array()) {
        for (const auto& value : part)
            collect_keys(value, found);
    }
}

// Every map in turn with a key that nobody knows.
void with_unknown_key(YAML::Node node, const YAML::Node& root, const std::string& file,
                      std::set<Keys>& known) {
    if (node.IsMap()) {
        node["nobody_knows"] = "1";
        try {
            parse_protocol(YAML::Dump(root), file);
        } catch (const InputError& error) {
            for (const Fault& fault : error.faults()) {
                const std::string before = "known here: ";
                const std::size_t start = fault.remedy.find(before);
                if (fault.found != "unknown key 'nobody_knows'" || start == std::string::npos)
                    continue;
                std::istringstream words(fault.remedy.substr(start + before.size()));
                Keys keys;
                for (std::string word; std::getline(words >> std::ws, word, ',');)
                    keys.insert(word);
                known.insert(keys);
            }
        }
        node.remove("nobody_knows");
        for (const auto& pair : node)
            with_unknown_key(pair.second, root, file, known);
    }
    if (node.IsSequence()) {
        for (const auto& item : node)
            with_unknown_key(item, root, file, known);
    }
}

// yaml-cpp writes a question mark in braces that it cannot read.
std::string without_question_marks(std::string text) {
    std::replace(text.begin(), text.end(), '?', '.');
    return text;
}

std::string words_of(const std::set<Keys>& all) {
    std::string words;
    for (const Keys& keys : all) {
        for (const std::string& key : keys)
            words += key + " ";
        words += "\n";
    }
    return words;
}

}  // namespace

TEST_CASE("every ready protocol and every example validates") {
    for (const std::string& text : sound_protocols()) {
        INFO(text);
        CHECK(schema_faults(text) == "");
    }
}

TEST_CASE("the reader and the schema know the same keys, each with a description") {
    std::set<Keys> in_schema;
    collect_keys(schema_json(), in_schema);
    std::set<Keys> in_reader;
    for (const std::string& text : readme_protocols()) {
        YAML::Node root = YAML::Load(without_question_marks(text));
        with_unknown_key(root, root, kReadmeFile, in_reader);
    }
    // Not keys of the language: languages of the example, and the halves of its field.
    in_reader.erase({"de", "en"});
    CHECK(in_reader.erase({"left", "right"}) == 1);
    CHECK(in_schema.erase({"left", "lower", "right", "upper"}) == 1);
    CHECK(words_of(in_reader) == words_of(in_schema));
    CHECK(in_schema.size() >= 28);
}

TEST_CASE("files with a fault of form do not validate") {
    int refused = 0;
    for (const char* name :
         {"unknown_key", "unknown_key_in_axis", "missing_keys", "missing_sections", "wrong_unit",
          "unknown_space", "rest_every_zero", "no_conditions", "no_repeats", "no_axes", "half_misspelt",
          "tasks_that_cannot_be", "spot_without_intervals", "thirty"}) {
        INFO(name);
        const std::string text =
            file_bytes(ISOSEAM_SOURCE_DIR "/tests/protocols/faulty/" + std::string(name) + ".yaml");
        CHECK(schema_faults(text) != "");
        ++refused;
    }
    CHECK(refused == 14);
}
