// What phones and desk are told, and what is taken for an answer.

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "support/seats/example_room.h"

using namespace isoseam;
using namespace isoseam::test;

TEST_CASE("only a scene and one kind of answer make the body of an answer") {
    CHECK(parse_answer(R"({"scene":3,"choice":1})")->answer == choice(1));
    CHECK(parse_answer(R"({"scene":3,"sliders":[0.42,1]})")->answer == places({0.42, 1.0}));
    CHECK(parse_answer(R"({"scene":3,"choice":1})")->scene == 3);
    for (const char* hostile : {"",
                                "null",
                                "7",
                                "[]",
                                "{}",
                                R"({"scene":3})",
                                R"({"choice":1})",
                                R"({"scene":3,"choice":"1"})",
                                R"({"scene":3,"choice":1.5})",
                                R"({"scene":-3,"choice":1})",
                                R"({"scene":3,"choice":-1})",
                                R"({"scene":3,"choice":18446744073709551615})",
                                R"({"scene":4294967299,"choice":1})",
                                R"({"scene":3,"choice":1,"sliders":[0.5]})",
                                R"({"scene":3,"choice":1,"x":1})",
                                R"({"scene":3,"sliders":[]})",
                                R"({"scene":3,"sliders":0.5})",
                                R"({"scene":3,"sliders":["0.5"]})",
                                R"({"scene":3,"sliders":[null]})",
                                R"({"scene":3,"sliders":[NaN]})",
                                R"({"scene":3,"sliders":[1e999]})",
                                R"({"scene":true,"choice":1})",
                                R"({"scene":3,"choice":1}})",
                                "{\"scene\":3,\"choice\":1,\"\xff\":1}"}) {
        INFO(hostile);
        CHECK_FALSE(parse_answer(hostile));
    }
}

TEST_CASE("phones get the scene in their language, as plain words") {
    LectureRoom made = room_at(kQuestion, 0);
    CHECK(made.phone_state("de") == nlohmann::json::parse(R"({
        "scene": 3, "kind": "question", "heading": "", "text": [], "ask": "Welches",
        "choices": ["erstes", "second", "third"], "sliders": [], "open": true, "times_emptied": 0,
        "languages": [{"code": "en", "name": "English"}, {"code": "de", "name": "Deutsch"}]})"));
    CHECK(made.phone_state("en")["ask"] == "Which one");
    CHECK(made.phone_state("fr") == made.phone_state("en"));
    made.go(kSteer);
    CHECK(made.phone_state("en")["sliders"] == nlohmann::json::parse(R"([
        {"name": "share", "ask": "mix it", "low": "pinkish", "high": "violet", "start": 0.2},
        {"name": "amount", "ask": "brightness", "low": "dim", "high": "bright", "start": 0.5}])"));
    made.go(kField);
    CHECK(made.phone_state("de")["heading"] == "Schau");
    CHECK(made.phone_state("de")["text"] == nlohmann::json{"just look"});
    made.go(kCard);
    CHECK(made.phone_state("de")["text"] == nlohmann::json::parse(R"(["eins", "zwei"])"));
}

// What is right is for the desk: a phone that looked into its state must not find it.
TEST_CASE("phones are not told which choice is right, nor the lecturer's notes, nor anybody else's answer") {
    LectureRoom made = room_at(kQuestion, 2);
    const std::string before = made.phone_state("en").dump();
    made.answer(ticket(2), kQuestion, choice(2));
    CHECK(made.phone_state("en").dump() == before);
    CHECK(before.find("right") == std::string::npos);
    made.go(kField);
    CHECK(made.phone_state("en").dump().find("take your time") == std::string::npos);
    CHECK(made.desk_state("en", {})["notes"] == nlohmann::json{"take your time"});
}

TEST_CASE("the desk gets scenes, people, answers and what the projector's side tells") {
    LectureRoom made = room_at(kQuestion, 3);
    made.connected(ticket(1), true);
    made.answer(ticket(1), kQuestion, choice(2));
    made.show_answers(true);
    DeskFacts facts{"K7QX2P", "http://192.168.1.4:8080/", 312.0, {"a warning"}, 4, true, 2.5, 7};
    nlohmann::json desk = made.desk_state("en", facts);
    CHECK(desk["scenes"].size() == 7);
    CHECK(desk["scenes"][1] == nlohmann::json::parse(R"({"number": 2, "kind": "field", "title": "Look"})"));
    desk.erase("scenes");
    CHECK(desk == nlohmann::json::parse(R"({
        "desk": "lecture", "title": "Example", "room": "K7QX2P", "join_address": "http://192.168.1.4:8080/",
        "people": {"joined": 3, "connected": 1, "joins_per_s": 2.5, "turned_away": 7}, "door_open": true, "scene": 3, "open": true, "answers_shown": true,
        "elapsed_s": 312.0, "notes": [],
        "answers": {"count": 1, "sliders": [], "choices": [{"text": "first", "count": 0},
            {"text": "second", "count": 1, "right": true}, {"text": "third", "count": 0}]},
        "field": {"steered": true}, "warnings": ["a warning"], "late_frames": 4, "ended": false})"));
    made.next();
    CHECK_FALSE(made.answers_shown());
    made.back();
    CHECK(made.answers_shown());
    made.end();
    CHECK(made.desk_state("en", facts)["ended"].get<bool>());
    CHECK(made.desk_state("en", facts)["answers"]["count"] == 0);
}

TEST_CASE("a slider's answers come as bins and quantiles") {
    const LectureRoom made = with_slider_answers({0.1, 0.1, 0.9});
    const nlohmann::json slider = made.answers_json(kSlider, "en")["sliders"].at(0);
    CHECK(slider["bins"].size() == 20);
    CHECK(slider["bins"][2] == 2);
    CHECK(slider["median"] == 0.1);
    CHECK(slider["low"] == "narrow");
    CHECK(slider["name"] == "value");
}
