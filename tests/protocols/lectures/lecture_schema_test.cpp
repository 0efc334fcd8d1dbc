// The schema for editors is held to the reader: what the reader takes validates, and both know the same keys.

#include "protocols/lectures/lecture_schema.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>
#include <valijson/adapters/nlohmann_json_adapter.hpp>
#include <valijson/schema.hpp>
#include <valijson/schema_parser.hpp>
#include <valijson/validation_results.hpp>
#include <valijson/validator.hpp>

#include "support/file_bytes.h"
#include "support/json_of_yaml.h"
#include "support/protocols/example_lecture.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

// Beside which the files of the guide's example are found.
const std::string kReadmeFile = ISOSEAM_SOURCE_DIR "/protocols/lectures/library/example.yaml";

std::string readme_example() {
    const std::string readme = file_bytes(ISOSEAM_SOURCE_DIR "/protocols/lectures/README.md");
    const std::string fence = "```yaml\n";
    const std::size_t start = readme.find(fence) + fence.size();
    return readme.substr(start, readme.find("```", start) - start);
}

const nlohmann::json& schema_json() {
    static const nlohmann::json json = nlohmann::json::parse(lecture_schema());
    return json;
}

bool validates(const std::string& text) {
    static valijson::Schema schema;
    [[maybe_unused]] static const bool compiled = [] {
        valijson::SchemaParser().populateSchema(valijson::adapters::NlohmannJsonAdapter(schema_json()),
                                                schema);
        return true;
    }();
    const nlohmann::json json = json_of_yaml(YAML::Load(text));
    valijson::Validator validator(valijson::Validator::kStrongTypes);
    return validator.validate(schema, valijson::adapters::NlohmannJsonAdapter(json), nullptr);
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
void with_unknown_key(YAML::Node node, const YAML::Node& root, std::set<Keys>& known) {
    if (node.IsMap()) {
        node["nobody_knows"] = "1";
        try {
            parse_lecture(YAML::Dump(root), kReadmeFile);
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
            with_unknown_key(pair.second, root, known);
    }
    if (node.IsSequence()) {
        for (const auto& item : node)
            with_unknown_key(item, root, known);
    }
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

TEST_CASE("every ready lecture and every example validates") {
    std::vector<std::string> texts{kExampleLecture, readme_example()};
    for (const ReadyLecture& ready : ready_lectures())
        texts.push_back(file_bytes(ready.path));
    CHECK(texts.size() == 8);
    for (const std::string& text : texts) {
        INFO(text);
        CHECK(validates(text));
    }
}

TEST_CASE("the guide's example is a sound lecture on its screen") {
    CHECK(lecture_setup_of(readme_example(), kReadmeFile).cautions().size() == 4);
}

TEST_CASE("the reader and the schema know the same keys, each with a description") {
    std::set<Keys> in_schema;
    collect_keys(schema_json(), in_schema);
    std::string example = readme_example();
    // yaml-cpp writes a question mark in braces that it cannot read.
    std::replace(example.begin(), example.end(), '?', '.');
    YAML::Node root = YAML::Load(example);
    std::set<Keys> in_reader;
    with_unknown_key(root, root, in_reader);
    // Not keys of the language: languages of the example, and the halves of its fields.
    in_reader.erase({"de", "en"});
    CHECK(in_reader.erase({"caption", "left", "right"}) == 1);
    CHECK(in_schema.erase({"caption", "left", "lower", "right", "upper"}) == 1);
    CHECK(words_of(in_reader) == words_of(in_schema));
    CHECK(in_schema.size() == 13);
}

TEST_CASE("lectures with a fault of form do not validate") {
    for (const char* name : {"unknown_keys", "questions", "sliders", "flicker", "no_scenes",
                             "not_for_a_class", "wrong_version"}) {
        INFO(name);
        CHECK_FALSE(validates(file_bytes(ISOSEAM_SOURCE_DIR "/tests/protocols/lectures/faulty/" +
                                         std::string(name) + ".yaml")));
    }
}
