// Lectures and the desk beside a session, by the built program and real connections.

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include <algorithm>
#include <functional>

#include "isoseam_program.h"
#include "results_schema/session_folder.h"
#include "support/temporary_folder.h"
#include "support/web_client.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

// A page's address as the program tells it: http://127.0.0.1:PORT/PATH
struct Address {
    std::uint16_t port = 0;
    std::string path;
};
Address address_told(RunningProgram& program, const std::string& before) {
    const std::string text = program.told(before + "http://127.0.0.1:", "\n");
    const std::size_t slash = text.find('/');
    return {static_cast<std::uint16_t>(std::stoi(text.substr(0, slash))), text.substr(slash)};
}

nlohmann::json get(const Address& from, const std::string& path, const std::string& fields = "") {
    WebClient client(from.port);
    client.get(path, fields);
    return nlohmann::json::parse(client.receive().body, nullptr, false);
}

ReceivedResponse post(const Address& to, const std::string& path, const nlohmann::json& body,
                      const std::string& fields = "") {
    WebClient client(to.port);
    client.post(path, body.dump(), fields);
    return client.receive();
}

// The desk's state, as soon as it is what is wanted; null if that takes too long.
nlohmann::json desk_when(const Address& desk, const std::function<bool(const nlohmann::json&)>& wanted) {
    WebClient stream(desk.port, 20);
    stream.get(desk.path + "/events");
    static_cast<void>(stream.receive(false));
    for (int i = 0; i < 400; ++i) {
        const nlohmann::json state = nlohmann::json::parse(stream.event(), nullptr, false);
        if (state.is_object() && wanted(state))
            return state;
    }
    return nullptr;
}

const std::string kDesk = "(keep this address to yourself): ";

}  // namespace

TEST_CASE("a class joins a lecture, answers and steers, and the folder keeps it for analyse") {
    const TemporaryFolder out;
    ProgramOptions options;
    options.more_input = true;
    RunningProgram program(isoseam_words({"lecture", "run", ISOSEAM_SOURCE_DIR "/tests/runner/class.yaml",
                                          "--headless", "--out", out.path()}),
                           options);
    const Address desk = address_told(program, kDesk);
    const std::string room = program.told("with the room code ", "\n");
    const Address hall{desk.port, "/"};

    CHECK(post(hall, "/join", {{"room", "WRONG1"}}).status == 403);
    const ReceivedResponse joined = post(hall, "/join", {{"room", room}});
    REQUIRE(joined.status == 200);
    const std::string cookie = joined.fields.at("set-cookie");
    CHECK(cookie.find("HttpOnly") != std::string::npos);
    const std::string ticket = "Cookie: " + cookie.substr(0, cookie.find(';')) + "\r\n";
    // Only a telephone that holds its stream counts.
    WebClient phone(hall.port, 20);
    phone.get("/events?language=de", ticket);
    REQUIRE(phone.receive(false).status == 200);

    program.say("next next next ");
    CHECK(desk_when(desk, [](const auto& state) { return state["scene"] == 3; }).is_object());
    CHECK(get(hall, "/state?language=de", ticket)["ask"] == "Sind sie gleich?");
    CHECK(post(hall, "/answer", {{"scene", 3}, {"choice", 2}}, ticket).status == 204);
    CHECK(desk_when(desk, [](const auto& state) { return state["answers"]["count"] == 1; }).is_object());

    CHECK(post(desk, desk.path + "/command", {{"do", "go"}, {"scene", 5}}).status == 204);
    CHECK(desk_when(desk, [](const auto& state) { return state["scene"] == 5; }).is_object());
    CHECK(post(hall, "/answer", {{"scene", 5}, {"sliders", {0.25}}}, ticket).status == 204);
    CHECK(desk_when(desk, [](const auto& state) { return state["answers"]["count"] == 1; }).is_object());
    CHECK(post(desk, desk.path + "/command", {{"do", "next"}}).status == 204);
    CHECK(desk_when(desk, [](const auto& state) { return state["scene"] == 6; }).is_object());
    CHECK(post(desk, desk.path + "/command", {{"do", "end"}}).status == 204);
    const ProgramResult result = program.wait();
    CHECK(result.status == 0);

    const std::string folder = result.out.substr(result.out.rfind(out.path()));
    const SessionFolder read = read_session_folder(folder.substr(0, folder.find('\n')));
    CHECK(read.faults.empty());
    CHECK(read.state == SessionState::complete);
    REQUIRE(read.settings.size() == 1);
    CHECK(read.settings.front().condition == "match");
    // Who answered is a number: no address, no ticket, no code of the room.
    for (const Event& event : read.events)
        CHECK(event.data.dump().find("127.0.0.1") == std::string::npos);

    const ProgramResult table = run_isoseam({"results", "table", read.folder});
    CHECK(table.status == 0);
    CHECK(table.out.find(",class,lecture,") != std::string::npos);
    const ProgramResult summary = run_isoseam({"analyse", "matches", read.folder, "--json"});
    CHECK(nlohmann::json::parse(summary.out)["series"][0]["kind"] == "lecture");
    const ProgramResult report =
        run_isoseam({"lecture", "report", read.folder, "--out", out.file("class.html"), "--language", "de"});
    CAPTURE(report.err);
    CHECK(report.status == 0);
    CHECK(run_isoseam({"session", "resume", read.folder, "--headless"}).err.find("is a lecture") !=
          std::string::npos);
}

TEST_CASE("a lecture goes on without a network") {
    const TemporaryFolder out;
    // An address that no machine has (RFC 5737).
    ProgramOptions options;
    options.input = "next escape escape\n";
    const ProgramResult result =
        run_isoseam({"lecture", "run", ISOSEAM_SOURCE_DIR "/tests/runner/class.yaml", "--headless", "--out",
                     out.path(), "--desk-address", "192.0.2.1:8080"},
                    options);
    CHECK(result.status == 0);
    CHECK(result.err.find("nobody can join, and there is no desk") != std::string::npos);
}

TEST_CASE("a desk beside a session pauses it, takes notes and ends it") {
    const TemporaryFolder out;
    ProgramOptions options;
    options.more_input = true;
    RunningProgram program(isoseam_words({"session", "run", "demo", "--participant", "P01", "--headless",
                                          "--seed", "1", "--out", out.path(), "--desk"}),
                           options);
    const Address desk = address_told(program, kDesk);
    WebClient page(desk.port);
    page.get(desk.path);
    const ReceivedResponse html = page.receive();
    CHECK(html.status == 200);
    CHECK(html.fields.at("content-security-policy").find("default-src 'none'") != std::string::npos);
    CHECK(get(desk, desk.path + "/state")["participant"] == "P01");

    CHECK(post(desk, desk.path + "/command", {{"do", "pause"}}).status == 204);
    CHECK(desk_when(desk, [](const auto& state) { return state["state"] == "paused"; }).is_object());
    CHECK(post(desk, desk.path + "/command", {{"do", "note"}, {"text", "The door was open."}}).status == 204);
    CHECK(desk_when(desk, [](const auto& state) { return state["notes"] == 1; }).is_object());
    CHECK(post(desk, desk.path + "/command", {{"do", "go_on"}}).status == 204);
    CHECK(post(desk, desk.path + "/command", {{"do", "end"}}).status == 204);
    const ProgramResult result = program.wait();
    CHECK(result.status == 0);
    const std::string folder = result.out.substr(result.out.rfind(out.path()));
    const SessionFolder read = read_session_folder(folder.substr(0, folder.find('\n')));
    CHECK(read.faults.empty());
    CHECK(read.state == SessionState::left_early);
    CHECK(std::any_of(read.events.begin(), read.events.end(), [](const Event& event) {
        return event.kind == "note" && event.data["text"] == "The door was open.";
    }));
}
