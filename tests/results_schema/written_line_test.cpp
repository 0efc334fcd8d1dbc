#include "results_schema/written_line.h"
#include "results_schema/records_table.h"

#include <catch2/catch.hpp>
#include <functional>
#include <nlohmann/json.hpp>
#include <random>

#include "results_schema/log_line.h"
#include "results_schema/schema_check.h"
#include "results_schema/session_folder.h"
#include "support/example_session.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

using namespace isoseam;

namespace {

std::string sealed(const SettingRecord& setting) {
    return seal_line(7, 1.5, "setting", json_text(setting), "0").text;
}

std::string sealed(const AnswerRecord& answer) {
    return seal_line(7, 1.5, "answer", to_json(answer).dump(), "0").text;
}

std::string body_of(const std::string& line) {
    return std::string(split_line(std::string_view(line).substr(0, line.size() - 1))->body);
}

}  // namespace

TEST_CASE("a written setting is read quickly, to the last bit") {
    for (const int trial : {1, 2}) {  // with and without frames
        const SettingRecord setting = test::example_setting(trial);
        const auto line = read_written_line(body_of(sealed(setting)));
        REQUIRE(line);
        CHECK(line->number == 7);
        CHECK(json_text(std::get<SettingRecord>(line->event)) == json_text(setting));
    }
    const auto started = read_written_line(
        R"({"number":2,"time_s":0.5,"event":"trial_started","data":{"condition":"a","repeat":1,"start":[0.5],"trial":1})");
    REQUIRE(started);
    CHECK(std::holds_alternative<PassingEvent>(started->event));
}

TEST_CASE("a written answer is read quickly, to the last bit") {
    AnswerRecord answer = test::example_answer(5);
    AnswerRecord bare = answer;
    bare.target_place.reset();
    bare.right.reset();
    bare.frames.reset();
    bare.catch_trial = true;
    for (const AnswerRecord& written : {answer, bare}) {
        const auto line = read_written_line(body_of(sealed(written)));
        REQUIRE(line);
        CHECK(to_json(std::get<AnswerRecord>(line->event)) == to_json(written));
    }
}

// One character of a line is changed, dropped or doubled; whatever the quick way still accepts, the JSON
// library and the schema accept as well, with the same values.
TEST_CASE("the quick way never accepts what the schema refuses") {
    const std::string good = body_of(sealed(test::example_setting(1)));
    const std::string started =
        R"({"number":2,"time_s":0.5,"event":"trial_started","data":{"condition":"a","repeat":1,"start":[0.5],"trial":1})";
    const std::string answered = body_of(sealed(test::example_answer(2)));
    const std::vector<std::string> others{
        started, answered, answered,
        R"({"number":3,"time_s":1.0,"event":"adaptation_started","data":{"duration_s":60.0,"light":"white"})",
        R"({"number":4,"time_s":1.0,"event":"adaptation_ended","data":{"shown_s":60.0})"};
    const std::string letters = "0123456789-+.eE\"\\{}[],: \tabxtrue\x01\xc3\x7f";
    std::mt19937 random(20261126);
    int accepted = 0;
    for (int i = 0; i < 9000; ++i) {
        std::string body = i % 2 == 0 ? others[random() % others.size()] : good;
        const std::size_t place = random() % body.size();
        const char letter = letters[random() % letters.size()];
        switch (random() % 3) {
            case 0:
                body[place] = letter;
                break;
            case 1:
                body.erase(place, 1);
                break;
            default:
                body.insert(place, 1, letter);
        }
        const auto line = read_written_line(body);
        if (!line)
            continue;
        ++accepted;
        INFO(body);
        const auto json = nlohmann::json::parse(body + R"(,"checksum":"0123456789abcdef"})", nullptr, false);
        REQUIRE_FALSE(json.is_discarded());
        REQUIRE(schema_faults(SchemaPart::line, json).empty());
        CHECK(json["number"] == line->number);
        if (const auto* setting = std::get_if<SettingRecord>(&line->event)) {
            CHECK(json_text(*setting) == json_text(setting_from_json(json["data"])));
        } else if (const auto* answer = std::get_if<AnswerRecord>(&line->event)) {
            CHECK(to_json(*answer) == to_json(answer_from_json(json["data"])));
        }
    }
    CHECK(accepted > 500);
}

namespace {

void check_same(const SessionFolder& all, const SessionFolder& records) {
    CHECK(records.event_count == all.event_count);
    CHECK(records.state == all.state);
    CHECK(records.torn_bytes == all.torn_bytes);
    CHECK(records.header_sha256 == all.header_sha256);
    CHECK(settings_table_rows(records) == settings_table_rows(all));
    CHECK(answers_table_rows(records) == answers_table_rows(all));
    REQUIRE(records.faults.size() == all.faults.size());
    for (std::size_t i = 0; i < all.faults.size(); ++i)
        CHECK(to_string(records.faults[i]) == to_string(all.faults[i]));
}

// What is found must not hang on the way in which the lines are read.
void check_same(const std::string& folder) {
    const SessionFolder all = read_session_folder(folder);
    CHECK(all.event_count == all.events.size());
    const SessionFolder records = read_session_folder(folder, ReadFor::records);
    CHECK(records.events.empty());
    check_same(all, records);
    const SessionFolder study = read_session_folder(folder, ReadFor::study);
    check_same(all, study);
    std::vector<std::string> wanted;
    for (const Event& event : all.events) {
        if (event.kind != "setting" && event.kind != "answer" && event.kind != "trial_started")
            wanted.push_back(event.kind + event.data.dump());
    }
    std::vector<std::string> kept;
    for (const Event& event : study.events)
        kept.push_back(event.kind + event.data.dump());
    CHECK(kept == wanted);
}

std::string write_all_kinds(const std::string& parent, const std::string& reason) {
    SessionLog log = SessionLog::create(parent, test::example_header(), Durability::at_end);
    log.append(0.0, "session_started", nlohmann::json::object());
    test::append_middle(log);
    for (int trial = 1; trial <= 4; ++trial)
        log.append(70.0 + trial,
                   test::example_setting(trial, trial == 2 ? "Gr\xc3\xbc\xc3\x9f \"e\"" : "pale"));
    test::append_people_and_answers(log, 80.0);
    if (!reason.empty())
        log.append(99.0, "session_ended", {{"reason", reason}, {"settings", 4}, {"answers", 1}});
    return log.folder();
}

// The log with one event changed, and sound checksums.
std::string resealed(const SessionFolder& folder, std::size_t changed,
                     const std::function<void(Event&)>& change) {
    std::string previous = folder.header_sha256;
    std::string text;
    for (std::size_t i = 0; i < folder.events.size(); ++i) {
        Event event = folder.events[i];
        if (i == changed)
            change(event);
        const SealedLine line = seal_line(event, previous);
        text += line.text;
        previous = line.checksum;
    }
    return text;
}

}  // namespace

TEST_CASE("reading for records finds what reading for everything finds") {
    const test::TemporaryFolder place;
    for (const std::string reason : {"finished", "left", ""}) {
        const std::string folder = write_all_kinds(place.path(), reason);
        check_same(folder);
        CHECK(read_session_folder(folder, ReadFor::records).settings.size() == 4);
        CHECK(read_session_folder(folder, ReadFor::records).answers.size() == 1);
    }
}

TEST_CASE("reading for records finds the same faults in lines with sound checksums") {
    const test::TemporaryFolder place;
    const std::string folder = write_all_kinds(place.path(), "finished");
    const SessionFolder sound = read_session_folder(folder);
    const std::vector<std::function<void(Event&)>> changes{
        [](Event& event) { event.number += 1; },
        [](Event& event) { event.time_s = -1.0; },
        [](Event& event) { event.kind = "note"; },
        [](Event& event) { event.kind = "session_started"; },
        [](Event& event) { event.kind = "session_ended"; },
        [](Event& event) { event.data["trial"] = 1; },
        [](Event& event) { event.data["trial"] = 1001; },
        [](Event& event) { event.data["trial"] = 1.0; },
        [](Event& event) { event.data["more"] = 1; },
        [](Event& event) { event.data.erase("condition"); },
        [](Event& event) { event.data["start"] = {0.5}; },
        [](Event& event) { event.data["level"] = {0.5}; },
        [](Event& event) {
            event.data["adjusted"]["code"] = {1, 2, 3, 4};
        },
        [](Event& event) {
            event.data["shown"]["linear"] = {1, 2, 3, 4};
        },
        [](Event& event) { event.data["reference"]["bits"] = 17; },
    };
    for (std::size_t line = 0; line < sound.events.size(); ++line) {
        for (std::size_t i = 0; i < changes.size(); ++i) {
            INFO("line " << line + 1 << ", change " << i);
            test::write_file(folder + "/settings.jsonl", resealed(sound, line, changes[i]));
            check_same(folder);
        }
    }
}

TEST_CASE("reading for records finds the same in torn, reordered and damaged logs") {
    const test::TemporaryFolder place;
    const std::string folder = write_all_kinds(place.path(), "finished");
    const std::string log = test::file_bytes(folder + "/settings.jsonl");
    std::mt19937 random(20261127);
    for (int i = 0; i < 400; ++i) {
        std::string text = log;
        const std::size_t place_of_change = random() % text.size();
        switch (i % 4) {
            case 0:
                text.resize(place_of_change);
                break;
            case 1:
                text[place_of_change] = static_cast<char>(random() % 256);
                break;
            case 2: {  // a line goes to the front of another
                const std::size_t begin = text.rfind('\n', place_of_change) + 1;
                const std::string line = text.substr(begin, text.find('\n', begin) + 1 - begin);
                text.erase(begin, line.size());
                const std::size_t to = text.rfind('\n', random() % text.size()) + 1;
                text.insert(to, line);
                break;
            }
            default:
                text.insert(place_of_change, 1, static_cast<char>(random() % 256));
        }
        INFO("change " << i << " at byte " << place_of_change);
        test::write_file(folder + "/settings.jsonl", text);
        check_same(folder);
    }
}
