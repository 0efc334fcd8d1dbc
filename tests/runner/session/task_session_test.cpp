// Sessions that ask: language, consent, questions, tasks with practice and catch trials.

#include <algorithm>
#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "runner/session/session_flow.h"
#include "runner/station/shown_records.h"
#include "support/seats/mixed_protocol.h"
#include "support/seats/obedient_station.h"
#include "support/temporary_folder.h"
#include "support/tolerances.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

// P03 meets the blocks of the mixed protocol in the order that counterbalancing gives the third participant.
struct Session {
    explicit Session(std::string participant = "P03") : code(std::move(participant)), station(setup) {}

    SessionFolder run(const std::string& language = "en") {
        SessionHeader header = describe_session(setup, 7, station);
        header.participant = code;
        header.kind = "session";
        header.started_utc = "2026-11-26T00:00:00.000Z";
        std::string folder;
        {
            SessionLog log = SessionLog::create(out.path(), header, Durability::at_end);
            folder = log.folder();
            outcome = run_session(
                setup, 7, {}, station, log, [](const std::string&) {}, {}, language);
        }
        return read_session_folder(folder);
    }

    std::string code;
    const Setup setup = mixed_setup();
    const TemporaryFolder out;
    ObedientStation station;
    SessionOutcome outcome;
};

std::vector<Event> events_of(const SessionFolder& folder, const std::string& kind) {
    std::vector<Event> found;
    std::copy_if(folder.events.begin(), folder.events.end(), std::back_inserter(found),
                 [&](const Event& event) { return event.kind == kind; });
    return found;
}

bool was_shown(const ObedientStation& station, const std::string& heading) {
    return std::find(station.shown.begin(), station.shown.end(), "page: " + heading) != station.shown.end();
}

// Shows every frame of a presentation at once, each a 60th of a second long.
class FrameStation : public ObedientStation {
  public:
    using ObedientStation::ObedientStation;
    bool shows_frames() const override { return true; }
    Action show_presentation(const Presentation& presentation, PresentationProgress& progress) override {
        first_frames.push_back(progress.next_frame);
        for (; progress.next_frame < presentation.end_frame.value_or(0); ++progress.next_frame) {
            if (progress.frames.shown++ == 0)
                progress.first_frame_s = clock_s;
            frames.push_back(presentation.lights(progress.next_frame));
            clock_s += 1.0 / 60.0;
        }
        return PresentationEnded{};
    }
    std::vector<std::int64_t> first_frames;  // of each presentation
    std::vector<FieldLights> frames;
};

Setup spot_setup(const std::string& more) {
    Protocol protocol = parse_protocol(
        "isoseam_protocol: 1\ntitle: Spot\nobserver: {field: 2 deg, age: 32 years}\n"
        "rig: {distance: 600 mm, sources: {lcd: " ISOSEAM_SOURCE_DIR
        "/calibration/demo/demo_lcd.yaml}}\n"
        "lights: {grey: xyY 0.31 0.33 at 30 cd/m2}\n"
        "field: {shape: disc, size: 2 deg, parts: spot, surround: black}\n"
        "conditions: [{name: grey, reference: grey, repeats: 1}]\n" +
            more,
        "spot.yaml");
    std::vector<Calibration> calibrations;
    for (const std::string& path : calibration_paths(protocol, {}))
        calibrations.push_back(read_calibration(path));
    return Setup(std::move(protocol), calibrations);
}

SessionFolder run_on(const Setup& setup, FrameStation& station) {
    const TemporaryFolder out;
    SessionHeader header = describe_session(setup, 7, station);
    header.participant = "P01";
    header.kind = "session";
    header.started_utc = "2026-11-26T00:00:00.000Z";
    std::string folder;
    {
        SessionLog log = SessionLog::create(out.path(), header, Durability::at_end);
        folder = log.folder();
        run_session(setup, 7, {}, station, log, [](const std::string&) {});
    }
    return read_session_folder(folder);
}

std::optional<Action> no_action() {
    return std::nullopt;
}

}  // namespace

TEST_CASE("a session with tasks is recorded whole, and its record is what the course says") {
    Session session;
    const SessionFolder folder = session.run();
    CHECK(session.outcome.finished);
    REQUIRE(folder.state == SessionState::complete);
    CHECK(folder.settings.size() == 6);
    CHECK(difference_from_course(session.setup, folder) == "");
    CHECK(events_of(folder, "block_started").size() == 3);
    CHECK(events_of(folder, "session_ended").front().data["answers"] == folder.answers.size());
    const auto answers = [&](auto wanted) {
        return std::count_if(folder.answers.begin(), folder.answers.end(), wanted);
    };
    CHECK(answers([](const AnswerRecord& answer) { return answer.practice; }) >= 2);
    CHECK(answers([](const AnswerRecord& answer) { return answer.catch_trial; }) >= 3);
    for (const AnswerRecord& answer : folder.answers) {
        if (answer.condition == "seen")
            continue;
        CHECK(answer.target_place.has_value() == answer.target);
        CHECK(answer.right.has_value() == answer.target);
        if (!answer.target) {
            CHECK(answer.level == std::vector<double>{0.0});
            CHECK(answer.shown.code == answer.reference.code);
        } else {
            // Whoever always says "left" is right where the target was there.
            CHECK(*answer.right == (answer.target_place == "left"));
            CHECK(answer.shown.half == *answer.target_place);
        }
    }
}

TEST_CASE("what the target's place shows is the level along the condition's direction") {
    Session session;
    const SessionFolder folder = session.run();
    for (const AnswerRecord& answer : folder.answers) {
        if (answer.condition != "L" && answer.condition != "M")
            continue;
        const std::size_t cone = answer.condition == "L" ? 0 : 1;
        for (std::size_t k = 0; k < 3; ++k) {
            const double contrast = answer.shown.lms[k] / answer.reference.lms[k] - 1.0;
            // With dither the light is the wanted one; the reference is dithered too, so its codes stay out.
            CHECK(contrast == Approx(k == cone ? answer.level[0] : 0.0).margin(1e-4));
        }
    }
}

TEST_CASE("language, consent and questions come first, each answered once and recorded") {
    Session session;
    const SessionFolder folder = session.run("");  // the participant takes the first language
    CHECK(session.station.language == "en");
    CHECK(events_of(folder, "language_chosen").front().data["language"] == "en");
    CHECK(events_of(folder, "consent_given").size() == 1);
    const std::vector<Event> answers = events_of(folder, "question_answered");
    REQUIRE(answers.size() == 3);
    CHECK(answers[0].data == nlohmann::json{{"name", "glasses"}, {"when", "before"}, {"value", true}});
    CHECK(answers[1].data == nlohmann::json{{"name", "sleep"}, {"when", "before"}, {"value", 7.0}});
    CHECK(answers[2].data == nlohmann::json{{"name", "effort"}, {"when", "after"}, {"value", "easy"}});
    CHECK(session.station.pages.front().choices == std::vector<std::string>{"English", "Deutsch"});
    Session german;
    german.run("de");
    CHECK(was_shown(german.station, "Teilnahme"));
    CHECK_FALSE(was_shown(german.station, "Taking part"));
}

TEST_CASE("who does not agree, or cannot say no to an exclusion, leaves, and nothing tells why") {
    for (const std::string page : {"page: Taking part", "page: Before we begin"}) {
        Session session;
        session.station.instead = [&](const Expected&) {
            return session.station.shown.back() == page ? std::optional<Action>(Escaped{}) : no_action();
        };
        const SessionFolder folder = session.run();
        CHECK(folder.state == SessionState::left_early);
        CHECK(events_of(folder, "session_ended").front().data["reason"] == "left");
        CHECK(events_of(folder, "paused").empty());
        CHECK(folder.settings.empty());
    }
}

TEST_CASE("a number out of its range is not taken") {
    Session session;
    std::vector<char> typed{'9', '9', '\b', '\b', '8', '.', '5'};
    session.station.instead = [&](const Expected& expected) -> std::optional<Action> {
        if (!std::holds_alternative<ExpectNumber>(expected))
            return std::nullopt;
        if (typed.empty())
            return Accepted{};
        // 99 hours are accepted in vain before they are taken back.
        if (typed.size() == 5 && session.station.pages.back().entry == "99") {
            typed.insert(typed.begin(), 'x');
            return Accepted{};
        }
        if (typed.front() == 'x')
            typed.erase(typed.begin());
        const char next = typed.front();
        typed.erase(typed.begin());
        return Typed{next};
    };
    const SessionFolder folder = session.run();
    CHECK(events_of(folder, "question_answered")[1].data["value"] == 8.5);
}

TEST_CASE("a trial that is paused before its answer is shown anew, and what was pressed in vain is counted") {
    Session session;
    int answers = 0;
    session.station.instead = [&](const Expected& expected) -> std::optional<Action> {
        if (std::holds_alternative<ExpectAnswer>(expected) && ++answers == 5) {
            session.station.ignored = 4;
            return Escaped{};
        }
        return std::nullopt;
    };
    const SessionFolder folder = session.run();
    CHECK(folder.state == SessionState::complete);
    CHECK(difference_from_course(session.setup, folder) == "");
    CHECK(events_of(folder, "paused").size() == 1);
    CHECK(folder.answers[4].ignored_presses == 4);
    CHECK(events_of(folder, "session_ended").front().data["ignored_presses"] == 4);
}

TEST_CASE("practice that comes to nothing ends the run, and says so") {
    Session session;
    session.station.answers = [&](const ExpectAnswer& expected) {
        // Always the place without the target.
        TrialResponse response{.kind = TrialResponse::Kind::yes};
        if (expected.form == AnswerForm::place) {
            response.kind = TrialResponse::Kind::place;
            const auto& places = expected.comparison->places;
            response.value = places[0].fractions == expected.comparison->reference.fractions ? 0 : 1;
        }
        return response;
    };
    const SessionFolder folder = session.run();
    CHECK(folder.state == SessionState::complete);
    CHECK(events_of(folder, "practice_failed").size() == 2);  // along L and along M
    CHECK(was_shown(session.station, "Please call the experimenter"));
    CHECK(was_shown(session.station, "Wrong"));
}

TEST_CASE("an answer that no form knows is refused, not guessed") {
    AnswerRecord answer;
    answer.form = "yes_no";
    answer.answer = "yes";
    CHECK(response_of(answer).kind == TrialResponse::Kind::yes);
    answer.answer = "perhaps";
    CHECK_THROWS_WITH(response_of(answer), Catch::Contains("'perhaps' is no answer of the form yes_no"));
}

TEST_CASE("a session of tasks that was left goes on with what it knew") {
    Session session;
    int answers = 0;
    session.station.instead = [&](const Expected& expected) -> std::optional<Action> {
        // Two escapes leave.
        answers += std::holds_alternative<ExpectAnswer>(expected) ? 1 : 0;
        if (answers >= 9)
            return Escaped{};
        return std::nullopt;
    };
    const SessionFolder left = session.run("de");
    REQUIRE(left.state == SessionState::left_early);
    CHECK(left.answers.size() == 8);
    ObedientStation later(session.setup);
    {
        SessionLog log = SessionLog::resume(left, Durability::at_end);
        const SessionOutcome outcome =
            go_on_with_session(session.setup, 7, resumption_of(left, "2026-11-27T00:00:00.000Z"), {}, later,
                               log, [](const std::string&) {});
        CHECK(outcome.finished);
    }
    const SessionFolder folder = read_session_folder(left.folder);
    CHECK(folder.state == SessionState::complete);
    CHECK(difference_from_course(session.setup, folder) == "");
    CHECK(later.language == "de");
    CHECK_FALSE(was_shown(later, "Teilnahme"));  // agreed already
    CHECK(events_of(folder, "question_answered").size() == 3);
    CHECK(was_shown(later, "Bevor wir beginnen"));  // exclusions are asked in every sitting
}

TEST_CASE("two intervals take their frames, and an answer's time counts from the second one's first frame") {
    const Setup setup = spot_setup(
        "task: {question: forced_choice, space: cone_contrast, along: L-M, wait: 500 ms, shown: 200 ms, "
        "between: 300 ms, constant_stimuli: {levels: [4 %], repeats: 1}}\n");
    FrameStation station(setup);
    const SessionFolder folder = run_on(setup, station);
    REQUIRE(folder.answers.size() == 1);
    // 30 frames of waiting, 12 of the first interval, 18 between; 12 of the second and one without it.
    CHECK(station.first_frames == std::vector<std::int64_t>{0, 60});
    REQUIRE(station.frames.size() == 73);
    const int target_in = *folder.answers[0].target_place == "first" ? 30 : 60;
    const auto light = [&](int frame) {
        return station.frames[static_cast<std::size_t>(frame)].halves[0].fractions;
    };
    for (int frame = 0; frame < 73; ++frame)
        CHECK((light(frame) != light(0)) == (frame >= target_in && frame < target_in + 12));
    for (int frame = 0; frame < 73; ++frame)
        CHECK(station.frames[static_cast<std::size_t>(frame)].mark_hidden ==
              ((frame >= 30 && frame < 42) || (frame >= 60 && frame < 72)));
    CHECK(folder.answers[0].frames->shown == 73);
    CHECK(folder.answers[0].places == 2);
    CHECK(folder.answers[0].duration_s ==
          Approx(13.0 / 60.0 + 1.0).epsilon(test::kFiveDigits));  // and the second that the hand takes
}

TEST_CASE("flicker that is shown for a while begins with its onset, whatever came before it") {
    const Setup setup = spot_setup(
        "flicker: {wave: square, exchange: lights, frequency: 15 Hz, onset: 1 s, largest_field: 2 deg, "
        "longest: "
        "20 s, exclusion: any seizures}\n"
        "task: {question: yes_no, space: cone_contrast, along: L+M+S, wait: 500 ms, shown: 3 s, "
        "constant_stimuli: {levels: [8 %], repeats: 1}}\n");
    FrameStation station(setup);
    const SessionFolder folder = run_on(setup, station);
    REQUIRE(folder.answers.size() == 1);
    CHECK(station.first_frames == std::vector<std::int64_t>{0});
    CHECK(station.frames.size() == 180);
    const auto difference = [&](std::size_t frame) {
        return (station.frames[frame + 2].halves[0].fractions - station.frames[frame].halves[0].fractions)
            .norm();
    };
    CHECK(difference(0) < 0.1 * difference(90));
}
