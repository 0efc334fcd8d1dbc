// What browsers of a class and the lecturer's desk are answered.

#include <catch2/catch.hpp>
#include <chrono>
#include <condition_variable>
#include <nlohmann/json.hpp>
#include <set>

#include "support/seats/class_lecture.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

struct Hall : LectureHall {
    Hall() : LectureHall(class_lecture().lecture(), {"K7QX2P", "desk-secret"}, "en", [] { return 12.5; }) {}
    void go(int scene) {
        with_room([&](LectureRoom& room) { room.go(scene); });
    }
};

}  // namespace

TEST_CASE("a class joins by its room's code, however it is typed, and keeps its numbers") {
    Hall hall;
    const WebResponse first = response(hall, post("/join", {{"room", "k7q x2p"}, {"language", "de"}}));
    CHECK(first.status == 200);
    CHECK(json_of(first)["person"] == 1);
    CHECK(first.set_ticket.size() >= 20);
    const WebResponse second = response(hall, post("/join", {{"room", "K7Q-X2P"}}));
    CHECK(json_of(second)["person"] == 2);
    CHECK(second.set_ticket != first.set_ticket);
    // Somebody who comes back is who they were, and gets no second ticket.
    const WebResponse back = response(hall, post("/join", {{"room", "K7QX2P"}}, first.set_ticket));
    CHECK(json_of(back)["person"] == 1);
    CHECK(back.set_ticket.empty());
    // A ticket that this hall never gave counts for nothing.
    CHECK(json_of(response(hall, post("/join", {{"room", "K7QX2P"}}, "invented")))["person"] == 3);

    for (const nlohmann::json& wrong : {nlohmann::json{{"room", "K7QX2Q"}}, nlohmann::json{{"room", 7}},
                                        nlohmann::json{{"code", "K7QX2P"}}, nlohmann::json{"K7QX2P"}}) {
        const WebResponse refused = response(hall, post("/join", wrong));
        CHECK(refused.status == 403);
        CHECK(json_of(refused) == nlohmann::json{{"error", "no_such_room"}});
        CHECK(refused.set_ticket.empty());
    }
    // Whoever opens a stream takes part, once.
    CHECK(hall.take_happenings().empty());
    for (const std::string& ticket : {second.set_ticket, first.set_ticket, second.set_ticket})
        hall.stream_opened("phone-en", ticket);
    std::vector<std::string> kinds;
    for (const Happening& happening : hall.take_happenings())
        kinds.push_back(happening.kind + happening.data.dump());
    CHECK(kinds == std::vector<std::string>{R"(person_joined{"person":2})", R"(person_joined{"person":1})"});
}

TEST_CASE("one address lets a class of 1,000 in within seconds, but not 2,000 in one moment") {
    double now_s = 0.0;
    LectureHall hall(class_lecture().lecture(), {"K7QX2P", "desk-secret"}, "en", [&] { return now_s; });
    WebRequest asks = post("/join", {{"room", "K7QX2P"}});
    const auto lets_in = [&](const std::string& client, int times) {
        int in = 0;
        asks.client = client;
        for (int i = 0; i < times; ++i) {
            const WebResponse got = response(hall, asks);
            CHECK((got.status == 200 || json_of(got)["error"] == "too_many_joins"));
            in += got.status == 200 ? 1 : 0;
        }
        return in;
    };
    CHECK(lets_in("router", 2000) == 500);
    CHECK(desk(hall)["people"]["joins_per_s"] == 100.0);  // 500 in the last 5 s
    CHECK(desk(hall)["people"]["turned_away"] == 1500);
    CHECK(desk(hall)["people"]["joined"] == 0);
    CHECK(lets_in("elsewhere", 1) == 1);
    int in = 500;
    while (in < 1000 && now_s < 30.0) {
        now_s += 1.0;
        in += lets_in("router", 100);
    }
    CHECK(in >= 1000);
    CHECK(now_s < 15.0);
    now_s += 10.0;
    CHECK(desk(hall)["people"]["joins_per_s"] == 0.0);
}

TEST_CASE("a ticket without a stream cannot vote, and leaves nothing in the record") {
    Hall hall;
    hall.go(3);
    const std::string ticket = response(hall, post("/join", {{"room", "K7QX2P"}})).set_ticket;
    CHECK(answer(hall, ticket, {{"scene", 3}, {"choice", 1}}) == 429);
    CHECK(hall.take_happenings().empty());
    CHECK(desk(hall)["answers"]["count"] == 0);
    hall.stream_opened("phone-en", ticket);
    CHECK(answer(hall, ticket, {{"scene", 3}, {"choice", 1}}) == 204);
    CHECK(hall.take_happenings().size() == 2);
}

TEST_CASE("the desk closes the door and empties the room") {
    Hall hall;
    hall.go(3);
    const std::string ticket = join(hall);
    CHECK(answer(hall, ticket, {{"scene", 3}, {"choice", 1}}) == 204);
    CHECK(command(hall, {{"do", "close_door"}}) == 204);
    CHECK_FALSE(desk(hall)["door_open"].get<bool>());
    const WebResponse refused = response(hall, post("/join", {{"room", "K7QX2P"}}));
    CHECK(refused.status == 409);
    CHECK(json_of(refused) == nlohmann::json{{"error", "door_closed"}});
    CHECK(desk(hall)["people"]["turned_away"] == 1);
    // Who does not know the code is not told that there is a door.
    CHECK(response(hall, post("/join", {{"room", "K7QX2Q"}})).status == 403);
    CHECK(response(hall, post("/join", {{"room", "K7QX2P"}}, ticket)).status == 200);

    static_cast<void>(hall.take_happenings());
    CHECK(command(hall, {{"do", "empty_room"}}) == 204);
    const std::vector<Happening> happenings = hall.take_happenings();
    REQUIRE(happenings.size() == 1);
    CHECK(happenings[0].kind == "room_emptied");
    CHECK(desk(hall)["people"]["joined"] == 0);
    CHECK(desk(hall)["answers"]["count"] == 0);
    CHECK(response(hall, get("/state", ticket)).status == 401);
    CHECK(answer(hall, ticket, {{"scene", 3}, {"choice", 1}}) == 401);
    CHECK(join(hall).empty());
    CHECK(command(hall, {{"do", "open_door"}}) == 204);
    CHECK_FALSE(join(hall).empty());
    CHECK(hall.take_commands().empty());
}

TEST_CASE("a page's files end their connection, answers keep it") {
    Hall hall;
    for (const char* path : {"/", "/class.js", "/class.css", "/icon.svg", "/desk/desk-secret"})
        CHECK(response(hall, get(path)).ends_connection);
    CHECK_FALSE(response(hall, get("/words")).ends_connection);
    CHECK_FALSE(response(hall, get("/state", join(hall))).ends_connection);
}

TEST_CASE("telephones get the scene in their language, their own answer and the page's words") {
    Hall hall;
    const std::string ticket = join(hall);
    CHECK(json_of(response(hall, get("/state", ticket)))["kind"] == "wait");
    hall.go(3);
    WebRequest german = get("/state", ticket);
    german.query["language"] = "de";
    nlohmann::json state = json_of(response(hall, german));
    CHECK(state["kind"] == "question");
    CHECK(state["ask"] == "Sind sie gleich?");
    CHECK(state["mine"].is_null());
    CHECK(state["words"].is_object());
    CHECK(answer(hall, ticket, {{"scene", 3}, {"choice", 2}}) == 204);
    state = json_of(response(hall, german));
    CHECK(state["mine"] == nlohmann::json{{"choice", 2}});

    const WebStream stream = std::get<WebStream>(hall.answer([&] {
        WebRequest request = german;
        request.path = "/events";
        return request;
    }()));
    CHECK(stream.channel == "phone-de");
    const nlohmann::json event = nlohmann::json::parse(stream.first);
    CHECK(event["ask"] == "Sind sie gleich?");
    CHECK_FALSE(event.contains("mine"));
    // A language that the lecture has not is its usual one.
    german.query["language"] = "xx";
    CHECK(json_of(response(hall, german))["ask"] == "Are they alike?");

    CHECK(response(hall, get("/state")).status == 401);
    CHECK(response(hall, get("/events", "invented")).status == 401);
    CHECK(response(hall, get("/words")).status == 200);
}

TEST_CASE("an answer counts for the scene that is shown, in its form, of those who have joined") {
    Hall hall;
    const std::string ticket = join(hall);
    hall.go(3);
    static_cast<void>(hall.take_happenings());
    CHECK(answer(hall, "", {{"scene", 3}, {"choice", 1}}) == 401);
    CHECK(answer(hall, ticket, {{"scene", 4}, {"sliders", {0.5}}}) == 409);
    CHECK(answer(hall, ticket, {{"scene", 3}, {"choice", 3}}) == 422);
    CHECK(answer(hall, ticket, {{"scene", 3}, {"sliders", {0.5}}}) == 422);
    CHECK(answer(hall, ticket, {{"scene", 3}}) == 422);
    CHECK(hall.take_happenings().empty());
    CHECK(answer(hall, ticket, {{"scene", 3}, {"choice", 1}}) == 204);
    CHECK(answer(hall, ticket, {{"scene", 3}, {"choice", 2}}) == 204);
    const nlohmann::json answers = desk(hall)["answers"];
    CHECK(answers["count"] == 1);
    CHECK(answers["choices"][0]["count"] == 0);
    CHECK(answers["choices"][1]["count"] == 1);
    // Both are in the record: the last one counts.
    const std::vector<Happening> happenings = hall.take_happenings();
    REQUIRE(happenings.size() == 2);
    CHECK(happenings[1].data == nlohmann::json{{"scene", 3}, {"person", 1}, {"choice", 2}});

    hall.with_room([](LectureRoom& room) { room.open_answers(false); });
    CHECK(answer(hall, ticket, {{"scene", 3}, {"choice", 1}}) == 409);
}

TEST_CASE("a desk obeys those who know its address, and nobody else finds it") {
    Hall hall;
    const std::string base = "/desk/desk-secret";
    CHECK(response(hall, get(base)).content_type.find("text/html") == 0);
    CHECK(std::get<WebStream>(hall.answer(get(base + "/events"))).channel == "desk");
    for (const char* path : {"/desk/desk-secreT", "/desk/", "/desk/desk-secret/more", "/desk/desk-secret2",
                             "/desk/desk-secret/events/more", "/desk"}) {
        CAPTURE(path);
        CHECK(response(hall, get(path)).status == 404);
    }
    CHECK(response(hall, post("/desk/wrong/command", {{"do", "end"}})).status == 404);
    CHECK(response(hall, get(base + "/command")).status == 405);
    CHECK(response(hall, post(base, {{"do", "end"}})).status == 405);

    CHECK(command(hall, {{"do", "next"}}) == 204);
    CHECK(command(hall, {{"do", "go"}, {"scene", 6}}) == 204);
    CHECK(command(hall, {{"do", "close"}}) == 204);
    for (const nlohmann::json& wrong :
         {nlohmann::json{{"do", "jump"}}, nlohmann::json{{"do", "go"}},
          nlohmann::json{{"do", "go"}, {"scene", 7}}, nlohmann::json{{"do", "go"}, {"scene", -1}},
          nlohmann::json{{"do", "go"}, {"scene", 1.5}}, nlohmann::json::array({"next"})}) {
        CAPTURE(wrong.dump());
        CHECK(command(hall, wrong) == 422);
    }
    const std::vector<DeskCommand> commands = hall.take_commands();
    REQUIRE(commands.size() == 3);
    CHECK(commands[0].kind == DeskCommand::Kind::next);
    CHECK(commands[1].scene == 6);
    CHECK(commands[2].kind == DeskCommand::Kind::open_answers);
    CHECK_FALSE(commands[2].yes);
    const nlohmann::json state = desk(hall);
    CHECK(state["desk"] == "lecture");
    CHECK(state["room"] == "K7QX2P");
    CHECK(state["elapsed_s"] == 12.5);
}

TEST_CASE("what changes is published: scenes to telephones and desk, answers to the desk alone") {
    Hall hall;
    std::mutex mutex;
    std::condition_variable heard;
    std::map<std::string, std::vector<nlohmann::json>> events;
    hall.publish_through(
        [&](const std::string& channel, const std::string& event) {
            const std::lock_guard lock(mutex);
            events[channel].push_back(nlohmann::json::parse(event));
            heard.notify_all();
        },
        "http://127.0.0.1:1/");
    const auto wait_for = [&](const std::string& channel, const auto& wanted) {
        std::unique_lock lock(mutex);
        return heard.wait_for(lock, std::chrono::seconds(10),
                              [&] { return !events[channel].empty() && wanted(events[channel].back()); });
    };
    const std::string ticket = join(hall);
    CHECK(wait_for("desk", [](const nlohmann::json& e) { return e["people"]["joined"] == 1; }));
    hall.go(3);
    CHECK(wait_for("phone-en", [](const nlohmann::json& e) { return e["ask"] == "Are they alike?"; }));
    CHECK(wait_for("phone-de", [](const nlohmann::json& e) { return e["ask"] == "Sind sie gleich?"; }));
    std::size_t told = 0;
    {
        const std::lock_guard lock(mutex);
        told = events["phone-en"].size();
    }
    CHECK(answer(hall, ticket, {{"scene", 3}, {"choice", 1}}) == 204);
    CHECK(wait_for("desk", [](const nlohmann::json& e) { return e["answers"]["count"] == 1; }));
    hall.stop_publishing();
    CHECK(events["phone-en"].size() == told);
    CHECK(events["desk"].back()["join_address"] == "http://127.0.0.1:1/");
}
