#include "results_schema/schema_check.h"

#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <cstdlib>
#include <nlohmann/json.hpp>
#include <sstream>

#include "results_schema/session_folder.h"
#include "support/example_session.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

using namespace isoseam;

namespace {

std::vector<nlohmann::json> lines_of(const std::string& text) {
    std::vector<nlohmann::json> lines;
    std::istringstream in(text);
    for (std::string line; std::getline(in, line);) {
        lines.push_back(nlohmann::json::parse(line));
    }
    return lines;
}

// Everything that differs from `record` by one key left out, one added, or one value of another type or
// range.
std::vector<nlohmann::json> damaged(const nlohmann::json& record) {
    std::vector<nlohmann::json> all;
    const nlohmann::json strange = {nullptr,
                                    true,
                                    "",
                                    "word",
                                    -2,
                                    0,
                                    1e9 + 0.5,
                                    99999999999999,
                                    -0.5,
                                    nlohmann::json::array(),
                                    nlohmann::json::object(),
                                    {1, 2, 3},
                                    {"a", "b", "c"}};
    const auto flat = record.flatten();
    std::vector<nlohmann::json::json_pointer> places = {nlohmann::json::json_pointer()};
    for (const auto& [text, ignored] : flat.items()) {
        for (nlohmann::json::json_pointer place(text); !place.empty(); place.pop_back()) {
            if (std::find(places.begin(), places.end(), place) == places.end()) {
                places.push_back(place);
            }
        }
    }
    for (const auto& place : places) {
        for (const nlohmann::json& value : strange) {
            nlohmann::json changed = record;
            changed[place] = value;
            all.push_back(changed);
        }
        nlohmann::json changed = record;
        if (changed[place].is_object()) {
            changed[place]["unknown_key"] = 1;
            all.push_back(changed);
        }
        if (!place.empty()) {
            changed = record;
            nlohmann::json& parent = changed[place.parent_pointer()];
            if (parent.is_object()) {
                parent.erase(place.back());
            } else {
                parent.erase(static_cast<std::size_t>(std::stoul(place.back())));
            }
            all.push_back(changed);
        }
    }
    return all;
}

std::vector<bool> verdicts_of_python(const std::string& schema, const std::vector<nlohmann::json>& records) {
    const test::TemporaryFolder folder;
    std::string input;
    for (const nlohmann::json& record : records) {
        input += record.dump() + "\n";
    }
    test::write_file(folder.file("records"), input);
    const std::string command = fmt::format(
        "/usr/bin/python3 {0}/tests/results_schema/validate.py {0}/results_schema/schema/{1} < {2} > {3}",
        ISOSEAM_SOURCE_DIR, schema, folder.file("records"), folder.file("verdicts"));
    INFO("needs Debian's python3-jsonschema: " << command);
    REQUIRE(std::system(command.c_str()) == 0);
    std::vector<bool> verdicts;
    std::istringstream in(test::file_bytes(folder.file("verdicts")));
    for (std::string verdict; in >> verdict;) {
        verdicts.push_back(verdict == "valid");
    }
    REQUIRE(verdicts.size() == records.size());
    return verdicts;
}

// Both implementations must say the same of every record. Returns how many they refuse.
int count_refused(SchemaPart part, const std::string& schema, const std::vector<nlohmann::json>& records) {
    const std::vector<bool> expected = verdicts_of_python(schema, records);
    int refused = 0;
    for (std::size_t i = 0; i < records.size(); ++i) {
        INFO(records[i].dump());
        REQUIRE(schema_faults(part, records[i]).empty() == expected[i]);
        refused += expected[i] ? 0 : 1;
    }
    return refused;
}

std::string write_answers(const std::string& parent) {
    SessionLog log = SessionLog::create(parent, test::example_header(), Durability::at_end);
    log.append(0.0, "session_started", nlohmann::json::object());
    test::append_people_and_answers(log, 1.0);
    log.append(2.0, "session_ended",
               {{"reason", "finished"}, {"settings", 0}, {"answers", 1}, {"ignored_presses", 3}});
    return log.folder();
}

}  // namespace

TEST_CASE("what a session leaves follows the published schemas, by two implementations of JSON Schema") {
    const test::TemporaryFolder parent;
    for (const SessionHeader& header : {test::example_header(), test::example_rehearsal()}) {
        const std::string folder =
            test::write_session(parent.path(), header, {test::example_setting(1)}, "left");
        CHECK(count_refused(SchemaPart::session, "session.schema.json",
                            {nlohmann::json::parse(test::file_bytes(folder + "/session.json"))}) == 0);
        CHECK(count_refused(SchemaPart::line, "settings.schema.json",
                            lines_of(test::file_bytes(folder + "/settings.jsonl"))) == 0);
    }
}

TEST_CASE("answers, questions and consent follow the schema too, and come back") {
    const test::TemporaryFolder parent;
    const std::string folder = write_answers(parent.path());
    CHECK(count_refused(SchemaPart::line, "settings.schema.json",
                        lines_of(test::file_bytes(folder + "/settings.jsonl"))) == 0);
    const SessionFolder read = read_session_folder(folder);
    CHECK(to_string(read.state) == "complete");
    REQUIRE(read.answers.size() == 1);
    CHECK(to_json(read.answers[0]) == to_json(test::example_answer(901)));
}

TEST_CASE("both implementations refuse the same damaged records") {
    const test::TemporaryFolder parent;
    const std::string folder = test::write_example(parent.path(), 1);
    const std::vector<nlohmann::json> headers =
        damaged(nlohmann::json::parse(test::file_bytes(folder + "/session.json")));
    const int refused_headers = count_refused(SchemaPart::session, "session.schema.json", headers);
    CHECK(refused_headers > static_cast<int>(headers.size()) * 3 / 4);
    std::vector<nlohmann::json> lines;
    for (const std::string& of : {folder, write_answers(parent.path())}) {
        for (const nlohmann::json& line : lines_of(test::file_bytes(of + "/settings.jsonl"))) {
            const std::vector<nlohmann::json> more = damaged(line);
            lines.insert(lines.end(), more.begin(), more.end());
        }
    }
    const int refused_lines = count_refused(SchemaPart::line, "settings.schema.json", lines);
    CHECK(refused_lines > static_cast<int>(lines.size()) * 3 / 4);
}

TEST_CASE("each rule of a setting's schema refuses what it is there for") {
    const auto faults_with = [](const char* pointer, const nlohmann::json& value) {
        nlohmann::json setting = to_json(test::example_setting(1));
        setting[nlohmann::json::json_pointer(pointer)] = value;
        return schema_faults(SchemaPart::setting, setting);
    };
    const std::vector<std::pair<const char*, nlohmann::json>> wrong = {{"/trial", 0},
                                                                       {"/trial", 1.5},
                                                                       {"/repeat", 0},
                                                                       {"/condition", ""},
                                                                       {"/space", "xyz"},
                                                                       {"/adjusted_half", "top"},
                                                                       {"/axes", {}},
                                                                       {"/steps", -1},
                                                                       {"/duration_s", -0.1},
                                                                       {"/start_shrunk_to", 1.1},
                                                                       {"/refused_steps/0", -1},
                                                                       {"/target_lms", {1.0, 2.0}},
                                                                       {"/adjusted/code/0", 70000},
                                                                       {"/adjusted/linear", {0.1, 0.2}},
                                                                       {"/path_length/1", -0.1},
                                                                       {"/start/0", nullptr}};
    for (const auto& [pointer, value] : wrong) {
        INFO(pointer << " = " << value.dump());
        CHECK_FALSE(faults_with(pointer, value).empty());
    }
    CHECK(faults_with("/trial", 2).empty());
}

TEST_CASE("the compiled-in schemas are the files") {
    const std::string folder = std::string(ISOSEAM_SOURCE_DIR) + "/results_schema/schema/";
    CHECK(session_schema_text() == test::file_bytes(folder + "session.schema.json"));
    CHECK(settings_schema_text() == test::file_bytes(folder + "settings.schema.json"));
}

TEST_CASE("the schemas say which draft they follow, describe every property and allow no unknown one") {
    const auto check = [](const auto& self, const nlohmann::json& schema, const std::string& place) -> void {
        if (schema.contains("properties") && schema.value("type", "") == "object") {
            INFO(place);
            CHECK(schema.value("additionalProperties", nlohmann::json(true)) == false);
            for (const auto& [name, property] : schema["properties"].items()) {
                INFO(name);
                CHECK((property.contains("description") || property.contains("$ref")));
            }
        }
        if (schema.is_structured()) {
            for (const auto& [key, value] : schema.items()) {
                self(self, value, fmt::format("{}/{}", place, key));
            }
        }
    };
    for (const std::string_view text : {session_schema_text(), settings_schema_text()}) {
        const nlohmann::json schema = nlohmann::json::parse(text);
        CHECK(schema["$schema"] == "https://json-schema.org/draft/2020-12/schema");
        check(check, schema, "");
    }
}
