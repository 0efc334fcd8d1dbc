#include "runner/session/session_flow.h"

#include <catch2/catch.hpp>
#include <cerrno>

#include "results_schema/session_folder.h"
#include "runner/station/shown_records.h"
#include "support/seats/scripted_station.h"
#include "support/temporary_folder.h"
#include "support/tolerances.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

// The demo protocol: one page, adaptation, two conditions twice.
Setup demo_setup() {
    Protocol protocol = read_protocol(ISOSEAM_SOURCE_DIR "/protocols/library/demo.yaml");
    std::vector<Calibration> calibrations;
    for (const std::string& path : calibration_paths(protocol, {}))
        calibrations.push_back(read_calibration(path));
    return Setup(std::move(protocol), calibrations);
}

SessionHeader header_of(const Setup& setup, const Station& station) {
    SessionHeader header = describe_session(setup, 11, station);
    header.participant = "P01";
    header.kind = "session";
    header.started_utc = "2026-11-25T16:03:12.345Z";
    return header;
}

struct Ran {
    SessionOutcome outcome;
    SessionFolder folder;
    std::vector<std::string> reports;
    std::vector<std::string> shown;
    std::string error;
};

Ran run(std::deque<Action> actions, const SystemCalls& calls = SystemCalls::real()) {
    const Setup setup = demo_setup();
    const TemporaryFolder out;
    ScriptedStation station(setup, std::move(actions));
    Ran result;
    std::string folder;
    {
        SessionLog log =
            SessionLog::create(out.path(), header_of(setup, station), Durability::each_event, calls);
        folder = log.folder();
        try {
            result.outcome =
                run_session(setup, 11, {"a warning"}, station, log,
                            [&](const std::string& report) { result.reports.push_back(report); });
        } catch (const MachineError& error) {
            result.error = error.what();
        }
    }
    result.folder = read_session_folder(folder);
    result.shown = station.shown;
    return result;
}

std::vector<std::string> kinds(const SessionFolder& folder) {
    std::vector<std::string> all;
    for (const Event& event : folder.events)
        all.push_back(event.kind);
    return all;
}

}  // namespace

TEST_CASE("a whole session leaves every event in order and ends complete") {
    std::deque<Action> actions{accept()};  // the page
    for (int i = 0; i < 4; ++i) {
        actions.push_back(step(0, +1));
        actions.push_back(step(1, -1, true));
        actions.push_back(accept());
    }
    const Ran session = run(actions);
    CHECK(session.outcome.finished);
    CHECK(session.folder.state == SessionState::complete);
    CHECK(kinds(session.folder) ==
          std::vector<std::string>{"session_started", "warning", "page_shown", "adaptation_started",
                                   "adaptation_ended", "trial_started", "setting", "trial_started", "setting",
                                   "trial_started", "setting", "trial_started", "setting", "session_ended"});
    REQUIRE(session.folder.settings.size() == 4);
    for (const SettingRecord& setting : session.folder.settings) {
        CHECK(setting.steps == 2);
        CHECK(setting.duration_s == Approx(3.0).epsilon(test::kRoundingOfDoubles));
        CHECK(setting.setting[0] - setting.start[0] ==
              Approx(0.004).epsilon(test::kRoundingOfDoubles));  // the protocol's fine step
        CHECK(setting.setting[1] - setting.start[1] ==
              Approx(-0.06).epsilon(test::kRoundingOfDoubles));  // its coarse step
        CHECK(setting.setting[2] == setting.start[2]);
        CHECK(setting.path_length == std::vector<double>{0.004, 0.06, 0.0});
    }
}

TEST_CASE("adaptations end although a clock in doubles cannot hit every moment") {
    // Near 128 s the spacing of doubles is 2.8e-14 s: a shorter wait would be rounded away.
    const Setup setup = demo_setup();
    for (const double started_s : {0.1, 100.0, 122.9, 1e6 + 0.3}) {
        const TemporaryFolder out;
        ScriptedStation station(setup, {accept(), accept(), accept(), accept(), accept()});
        station.clock_s = started_s;
        SessionLog log = SessionLog::create(out.path(), header_of(setup, station), Durability::at_end);
        CHECK(run_session(setup, 11, {}, station, log, [](const std::string&) {}).finished);
    }
}

TEST_CASE("a setting holds the light that its codes emit, on the calibration of each half") {
    const Ran session = run({accept(), step(2, +1), accept(), escape(), escape()});
    REQUIRE(session.folder.settings.size() == 1);
    const SettingRecord& setting = session.folder.settings.front();
    const Setup setup = demo_setup();
    for (const HalfRecord& half : {setting.adjusted, setting.reference}) {
        const DriveSolver& solver = setup.solver(half.source == "lcd" ? 0 : 1);
        const DriveCode code{{half.code.begin(), half.code.end()}, half.bits};
        const Lms lms = solver.lms(linear_from_code(code, solver.display()));
        CHECK(half.lms[0] == Approx(lms.l).epsilon(1e-12));
        CHECK(half.lms[1] == Approx(lms.m).epsilon(1e-12));
        CHECK(half.lms[2] == Approx(lms.s).epsilon(1e-12));
    }
    CHECK(setting.contrast_from_predicted[0] ==
          Approx((setting.adjusted.lms[0] - setting.reference.lms[0]) / setting.reference.lms[0])
              .epsilon(test::kFiveDigits));
    CHECK(setting.predicted_lms == setting.reference.lms);
}

TEST_CASE("escape pauses without touching the setting's time, twice leaves with everything saved") {
    const Ran session =
        run({accept(), step(0, +1), escape(), accept(), accept(), step(0, -1), escape(), escape()});
    CHECK_FALSE(session.outcome.finished);
    CHECK(session.folder.state == SessionState::left_early);
    REQUIRE(session.folder.settings.size() == 1);
    CHECK(session.folder.settings.front().duration_s ==
          Approx(3.0).epsilon(test::kRoundingOfDoubles));  // step, escape, accept; not the pause
    const std::vector<std::string> all = kinds(session.folder);
    CHECK(std::count(all.begin(), all.end(), "paused") == 2);
    CHECK(std::count(all.begin(), all.end(), "resumed") == 1);
    CHECK(session.folder.events.back().data.at("reason") == "left");
}

TEST_CASE("each setting is on disk before the next light shows") {
    const Setup setup = demo_setup();
    const TemporaryFolder out;
    int unsynced = 0;
    SystemCalls calls = SystemCalls::real();
    const SystemCalls real = SystemCalls::real();
    calls.write = [&](int fd, const void* bytes, std::size_t count) {
        ++unsynced;
        return real.write(fd, bytes, count);
    };
    calls.sync = [&](int fd) {
        unsynced = 0;
        return real.sync(fd);
    };
    class Watching : public ScriptedStation {
      public:
        Watching(const Setup& s, std::deque<Action> a, int& unsynced_writes)
            : ScriptedStation(s, std::move(a)), unsynced_(unsynced_writes) {}
        double show_field(const FieldLights& lights) override {
            CHECK(unsynced_ == 0);
            return ScriptedStation::show_field(lights);
        }

      private:
        int& unsynced_;
    };
    Watching station(setup, {accept(), accept(), accept(), accept(), accept()}, unsynced);
    SessionLog log = SessionLog::create(out.path(), header_of(setup, station), Durability::each_event, calls);
    CHECK(run_session(setup, 11, {}, station, log, [](const std::string&) {}).settings == 4);
}

TEST_CASE(
    "when the disk is full the participant is asked to wait, and the very setting is saved afterwards") {
    SystemCalls calls = SystemCalls::real();
    const SystemCalls real = SystemCalls::real();
    int writes = 0;
    calls.write = [&](int fd, const void* bytes, std::size_t count) -> ssize_t {
        ++writes;
        if (writes >= 8 && writes < 10) {  // around the first setting
            errno = ENOSPC;
            return -1;
        }
        return real.write(fd, bytes, count);
    };
    std::deque<Action> actions{accept(), step(0, +1)};
    for (int i = 0; i < 8; ++i)
        actions.push_back(accept());
    const Ran session = run(actions, calls);
    CHECK(session.error.empty());
    CHECK(session.folder.state == SessionState::complete);
    CHECK(session.folder.settings.size() == 4);
    REQUIRE(session.reports.size() == 2);
    CHECK_THAT(session.reports.front(), Catch::Contains("disk full") && Catch::Contains("free some space"));
    CHECK(std::count(session.shown.begin(), session.shown.end(), "page: Please call the experimenter") == 2);
}

TEST_CASE("when nothing can be saved and the participant leaves, the error reaches the experimenter") {
    SystemCalls calls = SystemCalls::real();
    const SystemCalls real = SystemCalls::real();
    int writes = 0;
    calls.write = [&](int fd, const void* bytes, std::size_t count) -> ssize_t {
        if (++writes >= 9) {
            errno = ENOSPC;
            return -1;
        }
        return real.write(fd, bytes, count);
    };
    const Ran session = run({accept(), accept(), escape(), escape()}, calls);
    CHECK_THAT(session.error, Catch::Contains("disk full"));
    CHECK(session.folder.state == SessionState::interrupted);
}

namespace {

// Interrupted once while `at` is shown, until three looks at whether it is over.
class InterruptedStation : public ScriptedStation {
  public:
    InterruptedStation(const Setup& setup, std::deque<Action> actions, std::string at)
        : ScriptedStation(setup, std::move(actions)), at_(std::move(at)) {}
    Action wait(double timeout_s) override {
        if (looks_left_ > 0) {
            clock_s += timeout_s;
            return {};
        }
        if (!done_ && !shown.empty() && shown.back() == at_) {
            done_ = true;
            looks_left_ = 3;
            return Interrupted{"another window has the keyboard"};
        }
        return ScriptedStation::wait(timeout_s);
    }
    std::optional<std::string> interruption() override {
        if (looks_left_ == 0 || --looks_left_ == 0)
            return std::nullopt;
        return "another window has the keyboard";
    }

  private:
    std::string at_;
    bool done_ = false;
    int looks_left_ = 0;
};

Ran interrupted_run(const std::string& at, std::deque<Action> actions) {
    const Setup setup = demo_setup();
    const TemporaryFolder out;
    InterruptedStation station(setup, std::move(actions), at);
    SessionLog log = SessionLog::create(out.path(), header_of(setup, station), Durability::each_event);
    Ran result;
    result.outcome = run_session(setup, 11, {}, station, log,
                                 [&](const std::string& report) { result.reports.push_back(report); });
    result.folder = read_session_folder(log.folder());
    result.shown = station.shown;
    return result;
}

const Event& event_of(const SessionFolder& folder, const std::string& kind) {
    const auto found = std::find_if(folder.events.begin(), folder.events.end(),
                                    [&](const Event& event) { return event.kind == kind; });
    REQUIRE(found != folder.events.end());
    return *found;
}

}  // namespace

TEST_CASE("an interruption takes the light away, is recorded, and the session goes on with nothing lost") {
    const Setup setup = demo_setup();
    const std::string first_page = "page: " + setup.protocol().pages.front().heading.in("");
    const std::string at = GENERATE_COPY(std::string("field"), std::string("adaptation"), first_page);
    CAPTURE(at);
    std::deque<Action> actions;
    if (at != first_page)
        actions.push_back(accept());  // the page
    actions.push_back(accept());      // goes on after the interruption
    if (at == first_page)
        actions.push_back(accept());
    for (int i = 0; i < 4; ++i)
        actions.insert(actions.end(), {step(0, +1), accept()});
    const Ran session = interrupted_run(at, actions);
    CHECK(session.folder.state == SessionState::complete);
    CHECK(session.folder.settings.size() == 4);
    CHECK(event_of(session.folder, "paused").data.at("reason") == "another window has the keyboard");
    CHECK(event_of(session.folder, "resumed").data.at("reason") == "mended, and the participant went on");
    REQUIRE(session.reports.size() == 1);
    CHECK(session.reports.front() ==
          "the session is paused: another window has the keyboard; mend that, and let the participant go on");
    const auto wait_page = std::find(session.shown.begin(), session.shown.end(), "page: Please wait");
    REQUIRE(session.shown.end() - wait_page > 2);
    CHECK(*(wait_page - 1) == at);
    CHECK(*(wait_page + 1) == "page: Paused");
    CHECK(*(wait_page + 2) == at);
    // Neither the setting's time nor the adaptation counts what went on meanwhile.
    CHECK(session.folder.settings.front().duration_s == Approx(2.0).epsilon(test::kRoundingOfDoubles));
    CHECK(event_of(session.folder, "adaptation_ended").data.at("shown_s") ==
          Approx(setup.protocol().adaptation_s).margin(1e-6));
}

TEST_CASE("whoever leaves while a session is interrupted leaves with everything saved") {
    const Ran session = interrupted_run("page: Paused", {accept(), accept(), escape(), escape()});
    CHECK_FALSE(session.outcome.finished);
    CHECK(session.folder.state == SessionState::left_early);
    CHECK(session.folder.settings.size() == 1);
    CHECK(event_of(session.folder, "paused").data.at("reason") == "participant");
}

TEST_CASE("a presentation on a station without frames shows what is compared, and counts none") {
    const Setup setup = demo_setup();
    ScriptedStation station(setup, {step(0, +1), accept()});
    const Presentation presentation{[](std::int64_t) -> FieldLights { throw std::logic_error("a frame"); },
                                    FieldLights{}, 2};
    PresentationProgress progress;
    CHECK(std::holds_alternative<StepTaken>(station.show_presentation(presentation, progress)));
    CHECK(std::holds_alternative<Accepted>(station.show_presentation(presentation, progress)));
    CHECK(progress.frames == FrameCounts{0, 0, 0});
    CHECK(progress.first_frame_s == 100.0);
}

TEST_CASE("the header says which texts, which hashes, which observer, and what it cannot show") {
    const Setup setup = demo_setup();
    const ScriptedStation station(setup, {});
    const SessionHeader header = describe_session(setup, 11, station);
    CHECK(header.calibrations.size() == 2);
    for (const auto& [hash, stored] : header.calibrations)
        CHECK(parse_calibration(stored.text, stored.file).invented);
    CHECK(parse_protocol(header.protocol.text, setup.protocol().file).title == setup.protocol().title);
    CHECK(header.demo_calibration);
    CHECK(header.planned_settings == 4);
    CHECK(header.observer.description == "CIE 170-1:2006, field 2 deg, age 32 years (published table)");
    CHECK_FALSE(header.cautions.empty());
}
