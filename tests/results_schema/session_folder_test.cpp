#include "results_schema/session_folder.h"

#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <random>
#include <sstream>

#include "results_schema/log_line.h"
#include "support/example_session.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using Catch::Matchers::Contains;
using Catch::Matchers::EndsWith;

namespace {

std::vector<std::string> lines_of(const std::string& text) {
    std::vector<std::string> lines;
    std::istringstream in(text);
    for (std::string line; std::getline(in, line);) {
        lines.push_back(line + "\n");
    }
    return lines;
}

std::string joined(const std::vector<std::string>& lines) {
    std::string text;
    for (const std::string& line : lines) {
        text += line;
    }
    return text;
}

// A session on disk whose files a test may change.
struct Example {
    test::TemporaryFolder parent;
    std::string folder;
    std::string log_path;
    std::string log;
    explicit Example(int settings = 3, const std::string& reason = "finished")
        : folder(test::write_example(parent.path(), settings, reason)),
          log_path(folder + "/settings.jsonl"),
          log(test::file_bytes(log_path)) {}
    SessionFolder read() const { return read_session_folder(folder); }
    SessionFolder read_with_log(const std::string& text) const {
        test::write_file(log_path, text);
        return read();
    }
    SessionFolder read_with_header(const std::string& text) const {
        test::write_file(folder + "/session.json", text);
        return read();
    }
};

// A log with sound checksums that holds these events, whatever they are.
std::string sealed_log(const std::string& folder, const std::vector<Event>& events) {
    std::string previous = sha256_hex(test::file_bytes(folder + "/session.json"));
    std::string text;
    for (const Event& event : events) {
        const SealedLine line = seal_line(event, previous);
        text += line.text;
        previous = line.checksum;
    }
    return text;
}

void check_fault(const SessionFolder& read, const char* file, int line, const std::string& words) {
    CHECK(to_string(read.state) == "damaged");
    REQUIRE_FALSE(read.faults.empty());
    CHECK_THAT(read.faults[0].file, EndsWith(file));
    CHECK(read.faults[0].line == line);
    CHECK_THAT(to_string(read.faults[0]), Contains(words));
}

}  // namespace

TEST_CASE("a folder is read back as it was written, with its state") {
    for (const auto& [reason, state] :
         {std::pair("finished", "complete"), std::pair("left", "left early"), std::pair("", "interrupted")}) {
        const Example example(3, reason);
        const SessionFolder read = example.read();
        CHECK(to_string(read.state) == state);
        CHECK(read.faults.empty());
        CHECK(read.torn_bytes == 0);
        REQUIRE(read.settings.size() == 3);
        CHECK(to_json(read.settings[1]) == to_json(test::example_setting(2, "dark")));
        CHECK(read.events.size() == lines_of(example.log).size());
        CHECK(read.events[2].kind == "adaptation_started");
        CHECK(read.events[2].time_s == 1.25);
        CHECK(read.header.protocol.text == test::example_header().protocol.text);
    }
}

TEST_CASE("an unfinished last line is not damage") {
    const Example example(3, "");
    const std::size_t last = example.log.rfind('\n', example.log.size() - 2) + 1;
    for (const std::size_t length : {last + 1, last + 100, example.log.size() - 1}) {
        const SessionFolder read = example.read_with_log(example.log.substr(0, length));
        CHECK(to_string(read.state) == "interrupted");
        CHECK(read.torn_bytes == length - last);
        CHECK(read.settings.size() == 2);
        CHECK(read.faults.empty());
    }
}

TEST_CASE("a session that was killed before its first event is interrupted") {
    const Example example;
    CHECK(to_string(example.read_with_log("").state) == "interrupted");
}

TEST_CASE("a changed, removed, doubled or moved line is damage at its line") {
    const Example example(3);
    const std::vector<std::string> lines = lines_of(example.log);
    auto changed = lines;
    changed[11].replace(changed[11].find("\"dark\""), 6, "\"pale\"");
    const SessionFolder read = example.read_with_log(joined(changed));
    check_fault(read, "settings.jsonl", 12,
                "the checksum does not fit: this line was changed after it was written");
    CHECK(read.faults.size() == 1);
    CHECK(read.settings.size() == 1);
    CHECK(read.events.size() == 11);
    auto removed = lines;
    removed.erase(removed.begin() + 10);
    check_fault(example.read_with_log(joined(removed)), "settings.jsonl", 11,
                "holds event 12 where event 11 is due: a line was removed, doubled or moved");
    auto doubled = lines;
    doubled.insert(doubled.begin() + 11, doubled[10]);
    check_fault(example.read_with_log(joined(doubled)), "settings.jsonl", 12,
                "holds event 11 where event 12 is due");
    auto swapped = lines;
    std::swap(swapped[10], swapped[11]);
    check_fault(example.read_with_log(joined(swapped)), "settings.jsonl", 11,
                "holds event 12 where event 11 is due");
    auto blank = lines;
    blank.insert(blank.begin() + 3, "\n");
    check_fault(example.read_with_log(joined(blank)), "settings.jsonl", 4,
                "the line does not end with its checksum");
}

TEST_CASE("all faulty lines are named") {
    const Example example(3);
    auto lines = lines_of(example.log);
    for (const std::size_t line : {3U, 10U, 12U}) {
        lines[line].replace(lines[line].find("\"time_s\":") + 9, 1, "9");
    }
    const SessionFolder read = example.read_with_log(joined(lines));
    REQUIRE(read.faults.size() == 3);
    CHECK(read.faults[1].line == 11);
    CHECK(read.faults[2].line == 13);
    CHECK(read.events.size() == 3);
}

TEST_CASE("what follows session_ended is damage") {
    const Example example(1);
    auto events = example.read().events;
    events.push_back({events.size() + 1, 99.0, "rest_started", nlohmann::json::object()});
    check_fault(example.read_with_log(sealed_log(example.folder, events)), "settings.jsonl",
                static_cast<int>(events.size()), "'rest_started' after session_ended");
    check_fault(example.read_with_log(example.log + "{\"num"), "settings.jsonl",
                static_cast<int>(events.size()), "bytes after session_ended");
}

TEST_CASE("sound checksums do not excuse wrong contents") {
    const Example example(2);
    const auto events = example.read().events;
    const auto read_with = [&](std::size_t line, auto change) {
        auto wrong = events;
        change(wrong[line - 1]);
        return example.read_with_log(sealed_log(example.folder, wrong));
    };
    check_fault(read_with(11, [](Event& event) { event.data["trial"] = 0; }), "settings.jsonl", 11,
                "/data/trial");
    check_fault(read_with(11, [](Event& event) { event.data["trial"] = 1001; }), "settings.jsonl", 11,
                "trial 1001 of 1000 planned settings");
    check_fault(read_with(12, [](Event& event) { event.data["trial"] = 1; }), "settings.jsonl", 12,
                "trial 1 has two settings");
    check_fault(read_with(11, [](Event& event) { event.data["start"].push_back(0.0); }), "settings.jsonl", 11,
                "one entry for each of 2 axes");
    check_fault(read_with(11, [](Event& event) { event.data["adjusted"]["code"].push_back(1); }),
                "settings.jsonl", 11, "half right has 3 linear drives and 4 codes");
    check_fault(read_with(11, [](Event& event) { event.kind = "remark"; }), "settings.jsonl", 11, "/event");
    check_fault(read_with(5, [](Event& event) { event.number = 6; }), "settings.jsonl", 5,
                "holds event 6 where event 5 is due");
    check_fault(read_with(1, [](Event& event) { event.kind = "rest_ended"; }), "settings.jsonl", 1,
                "session_started");
    check_fault(read_with(13, [](Event& event) { event.data["settings"] = 3; }), "settings.jsonl", 13,
                "session_ended counts 3 settings, and the file holds 2");
}

TEST_CASE("session.json is held to the log, to its schema and to itself") {
    const Example example;
    const std::string text = test::file_bytes(example.folder + "/session.json");
    const auto with = [&](auto change) {
        nlohmann::json json = nlohmann::json::parse(text);
        change(json);
        return example.read_with_header(json.dump(2) + "\n");
    };
    check_fault(example.read_with_header(text + " "), "settings.jsonl", 1,
                "session.json or this line was changed");
    check_fault(with([](nlohmann::json& json) { json["participant"] = "P02"; }), "settings.jsonl", 1,
                "session.json");
    check_fault(with([](nlohmann::json& json) { json["seed"] = -1; }), "session.json", 0, "/seed");
    check_fault(with([](nlohmann::json& json) { json["protocol"]["text"] = "other"; }), "session.json", 0,
                "the protocol's text does not hash to its sha256");
    check_fault(with([](nlohmann::json& json) { json["calibrations"].begin().value()["text"] = "other"; }),
                "session.json", 0, "does not hash to its sha256");
    check_fault(with([](nlohmann::json& json) { json["sources"][0]["calibration"] = std::string(64, '0'); }),
                "session.json", 0, "the calibration of source LCD is not in the file");
    check_fault(example.read_with_header("{"), "session.json", 0, "is not JSON");
}

TEST_CASE("a newer version is named with the program that can read it") {
    const Example example;
    nlohmann::json json = nlohmann::json::parse(test::file_bytes(example.folder + "/session.json"));
    json["results_version"] = 2;
    json["program_version"] = "3.1.0";
    json["something_new"] = true;
    const SessionFolder read = example.read_with_header(json.dump());
    check_fault(read, "session.json", 0,
                "written by a newer version of the program: results version 2, and this one reads version 1; "
                "use isoseam "
                "3.1.0 or newer");
    CHECK(read.faults.size() == 1);
    json["results_version"] = 0;
    check_fault(example.read_with_header(json.dump()), "session.json", 0, "/results_version");
}

TEST_CASE("missing files and folders are named") {
    const Example example;
    CHECK_THROWS_WITH(
        read_session_folder(example.folder + "/no"),
        Contains(
            "there is no such session folder; name a folder that isoseam session run or rehearse has made"));
    CHECK_THROWS_WITH(read_session_folder(example.log_path), Contains("is a file, not a session folder"));
    std::filesystem::remove(example.log_path);
    check_fault(example.read(), "settings.jsonl", 0, "is missing or cannot be read");
    std::filesystem::remove(example.folder + "/session.json");
    check_fault(example.read(), "session.json", 0, "is missing or cannot be read");
}

TEST_CASE("no single byte can change without being noticed") {
    const Example example(4);
    const std::vector<SettingRecord> settings = example.read().settings;
    const auto is_prefix = [&](const SessionFolder& read) {
        bool same = read.settings.size() <= settings.size();
        for (std::size_t i = 0; same && i < read.settings.size(); ++i) {
            same = to_json(read.settings[i]) == to_json(settings[i]);
        }
        return same;
    };
    std::mt19937 random(7);
    for (int round = 0; round < 600; ++round) {
        std::string text = example.log;
        const std::size_t place = random() % text.size();
        if (round % 2 == 0) {
            text[place] = static_cast<char>(static_cast<unsigned char>(text[place]) ^ (1U << random() % 8U));
        } else {
            text.erase(place, 1);
        }
        const SessionFolder read = example.read_with_log(text);
        INFO("round " << round << ", byte " << place << ", state " << to_string(read.state));
        REQUIRE((read.state == SessionState::damaged || read.torn_bytes > 0));
        REQUIRE(is_prefix(read));
    }
}

TEST_CASE("no single byte of session.json can change without being noticed") {
    const Example example(1);
    const std::string header = test::file_bytes(example.folder + "/session.json");
    std::mt19937 random(8);
    for (int round = 0; round < 300; ++round) {
        std::string text = header;
        const std::size_t place = random() % text.size();
        if (round % 2 == 0) {
            text[place] = static_cast<char>(static_cast<unsigned char>(text[place]) ^ (1U << random() % 8U));
        } else {
            text.erase(place, 1);
        }
        INFO("round " << round << ", byte " << place);
        REQUIRE(example.read_with_header(text).state == SessionState::damaged);
    }
}
