// The experimenter's desk beside a session.

#include <algorithm>
#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <utility>

#include "runner/desk/desk_station.h"
#include "runner/session/session_flow.h"
#include "runner/station/shown_records.h"
#include "support/protocols/example_protocol.h"
#include "support/seats/class_lecture.h"
#include "support/seats/mixed_protocol.h"
#include "support/seats/obedient_station.h"
#include "support/temporary_folder.h"
#include "support/tolerances.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

constexpr const char* kSecret = "desk-secret";

// A protocol, the mixed one unless told otherwise, with a desk beside it, whose clock is the station's.
struct Beside {
    explicit Beside(Setup what = mixed_setup()) : setup(std::move(what)) {}

    SessionFolder run() {
        SessionHeader header = describe_session(setup, 7, station);
        header.participant = "P03";
        header.kind = "session";
        header.started_utc = "2026-11-26T00:00:00.000Z";
        std::string folder;
        {
            SessionLog log = SessionLog::create(out.path(), header, Durability::at_end);
            folder = log.folder();
            log.tell(desk);
            DeskStation seat(station, desk, [&](const std::string& note) {
                log.append(log.last_time_s() + desk.since_heard_s(), "note", {{"text", note}});
            });
            outcome = run_session(
                setup, 7, {"a warning"}, seat, log, [](const std::string&) {}, {}, "en");
        }
        return read_session_folder(folder);
    }
    nlohmann::json state() {
        return json_of(response(desk, get(std::string("/desk/") + kSecret + "/state")));
    }
    int ask(const nlohmann::json& what) {
        return response(desk, post(std::string("/desk/") + kSecret + "/command", what)).status;
    }
    // Does it once, when the session expects this for the n-th time.
    template <class Moment>
    void when(int nth, std::function<std::optional<Action>()> what) {
        station.instead = [nth, what, seen = 0](const Expected& expected) mutable {
            const bool now = std::holds_alternative<Moment>(expected) && ++seen == nth;
            return now ? what() : std::optional<Action>{};
        };
    }

    const Setup setup;
    const TemporaryFolder out;
    ObedientStation station{setup};
    SessionDesk desk{desk_session(setup, "P03", {2026, 11, 26}), kSecret,
                     [this] { return station.clock_s - 100.0; }};
    SessionOutcome outcome;
};

std::vector<std::string> texts_of(const SessionFolder& folder, const std::string& kind, const char* key) {
    std::vector<std::string> texts;
    for (const Event& event : folder.events) {
        if (event.kind == kind)
            texts.push_back(event.data.at(key));
    }
    return texts;
}

}  // namespace

TEST_CASE("a desk tells how far a session is, and what was set") {
    Beside beside;
    nlohmann::json state = beside.state();
    CHECK(state["desk"] == "session");
    CHECK(state["participant"] == "P03");
    CHECK(state["done"] == 0);
    CHECK(state["left_s"].get<double>() > 0.0);
    CHECK(state["calibrations"][0]["demo"] == true);
    CHECK(state["calibrations"][0]["days_left"].is_number_integer());

    const SessionFolder folder = beside.run();
    REQUIRE(folder.faults.empty());
    state = beside.state();
    CHECK(state["done"] == folder.settings.size() + folder.answers.size());
    CHECK(state["answers"]["count"] == folder.answers.size());
    CHECK(state["answers"]["right"] ==
          std::count_if(folder.answers.begin(), folder.answers.end(),
                        [](const AnswerRecord& answer) { return answer.right.value_or(false); }));
    REQUIRE(state["settings"].size() == folder.settings.size());
    const SettingRecord& last = folder.settings.back();
    const nlohmann::json& told = state["settings"].back();
    CHECK(told["trial"] == last.trial);
    CHECK(told["condition"] == last.condition);
    CHECK(told["contrast_percent"][2].get<double>() ==
          Approx(100.0 * last.contrast_from_predicted[2]).epsilon(test::kFiveDigits));
    CHECK(told["distance_percent"].get<double>() ==
          Approx(100.0 * std::hypot(last.contrast_from_predicted[0], last.contrast_from_predicted[1],
                                    last.contrast_from_predicted[2]))
              .epsilon(test::kFiveDigits));
    CHECK(state["warnings"] == nlohmann::json{"a warning"});
    CHECK(state["ended"] == true);
    CHECK(state["left_s"] == 0.0);
}

TEST_CASE("the time left in a session of tasks alone is told by its trials, not by its pages") {
    Beside beside(setup_of(example_for_tasks() +
                           "instructions: [{heading: Read, text: Slowly.}]\n"
                           "task:\n  question: yes_no\n  half: right\n  space: cone_contrast\n  along: L\n"
                           "  constant_stimuli: {levels: [1 %, 2 %], repeats: 5}\n"
                           "conditions: [{name: a, reference: grey, repeats: 1}]\n"));
    nlohmann::json state;
    int asked = 0;
    beside.station.instead = [&](const Expected& expected) {
        constexpr double kSlowReaderS = 1000.0;
        constexpr int kLookedAt = 8;
        if (std::holds_alternative<ExpectGoOn>(expected))
            beside.station.clock_s += kSlowReaderS;
        if (std::holds_alternative<ExpectAnswer>(expected) && ++asked == kLookedAt)
            state = beside.state();
        return std::optional<Action>{};
    };
    const SessionFolder folder = beside.run();
    REQUIRE(folder.faults.empty());
    REQUIRE(folder.answers.size() == 10);
    std::vector<double> answered_s;
    for (const Event& event : folder.events) {
        if (event.kind == "answer")
            answered_s.push_back(event.time_s);
    }
    const double trial_s = (answered_s.back() - answered_s.front()) / 9.0;
    CHECK(state["state"] == "trial");
    CHECK(state["done"] == 7);
    // Three trials are left, and the one under way is not over yet.
    CHECK(state["left_s"].get<double>() >= 3.0 * trial_s);
    CHECK(state["left_s"].get<double>() <= 4.0 * trial_s);
}

TEST_CASE("a pause at the desk takes the light away until the desk goes on and the participant does") {
    Beside beside;
    int waited = 0;
    beside.when<ExpectAdjustment>(2, [&] {
        CHECK(beside.ask({{"do", "pause"}}) == 204);
        beside.station.instead = [&](const Expected&) {
            if (++waited == 5)
                CHECK(beside.ask({{"do", "go_on"}}) == 204);
            return waited < 5 ? std::optional<Action>(Accepted{}) : std::nullopt;
        };
        return std::optional<Action>{};
    });
    const SessionFolder folder = beside.run();
    REQUIRE(folder.faults.empty());
    CHECK(folder.state == SessionState::complete);
    CHECK(texts_of(folder, "paused", "reason") == std::vector<std::string>{"experimenter"});
    CHECK(difference_from_course(beside.setup, folder) == "");
    const auto page =
        std::find_if(beside.station.pages.begin(), beside.station.pages.end(), [](const Instruction& shown) {
            return !shown.paragraphs.empty() &&
                   shown.paragraphs[0] == "The experimenter has stopped the session for a moment.";
        });
    REQUIRE(page != beside.station.pages.end());
    // What the participant pressed meanwhile accepted nothing.
    CHECK(std::next(page)->heading == "Paused");
    CHECK(waited >= 5);
}

TEST_CASE("an end at the desk leaves the session with all that was accepted") {
    Beside beside;
    beside.when<ExpectAnswer>(5, [&] {
        CHECK(beside.ask({{"do", "end"}}) == 204);
        return std::optional<Action>{};
    });
    const SessionFolder folder = beside.run();
    CHECK(folder.state == SessionState::left_early);
    CHECK_FALSE(beside.outcome.finished);
    CHECK(folder.answers.size() >= 4);
    CHECK(beside.state()["ended"] == true);
}

TEST_CASE("notes at the desk stand in the record, in their order and at their time") {
    Beside beside;
    beside.when<ExpectAnswer>(3, [&] {
        CHECK(beside.ask({{"do", "note"}, {"text", "The lamp was on."}}) == 204);
        CHECK(beside.ask({{"do", "note"}, {"text", "Now it is off: \xC3\xA9\"<b>"}}) == 204);
        return std::optional<Action>{};
    });
    const SessionFolder folder = beside.run();
    REQUIRE(folder.faults.empty());
    CHECK(texts_of(folder, "note", "text") ==
          std::vector<std::string>{"The lamp was on.", "Now it is off: \xC3\xA9\"<b>"});
    CHECK(beside.state()["notes"] == 2);
    CHECK(std::is_sorted(folder.events.begin(), folder.events.end(),
                         [](const Event& a, const Event& b) { return a.time_s < b.time_s; }));
}

TEST_CASE("a session's desk refuses what no desk sends") {
    Beside beside;
    CHECK(beside.ask({{"do", "note"}, {"text", ""}}) == 422);
    CHECK(beside.ask({{"do", "note"}, {"text", " \n "}}) == 422);
    CHECK(beside.ask({{"do", "note"}, {"text", std::string(501, 'x')}}) == 422);
    std::string long_enough;
    for (int i = 0; i < 500; ++i)
        long_enough += "\xC3\xA9";
    CHECK(beside.ask({{"do", "note"}, {"text", long_enough}}) == 204);
    CHECK(beside.ask({{"do", "note"}}) == 422);
    CHECK(beside.ask({{"do", "explode"}}) == 422);
    CHECK(beside.ask("pause") == 422);
    CHECK(response(beside.desk, get("/desk/wrong")).status == 404);
    CHECK(response(beside.desk, post("/desk/wrong/command", {{"do", "end"}})).status == 404);
    CHECK(response(beside.desk, get("/")).status == 404);
    CHECK(response(beside.desk, get(std::string("/desk/") + kSecret + "/command")).status == 405);
    CHECK_FALSE(beside.desk.end_asked());
}
