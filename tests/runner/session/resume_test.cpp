// Sessions that were interrupted anywhere go on with the very trials that were left.

#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <map>

#include "base/random.h"
#include "results_schema/session_folder.h"
#include "runner/rehearsal/simulated_station.h"
#include "runner/session/session_flow.h"
#include "runner/station/shown_records.h"
#include "support/error_text.h"
#include "support/file_bytes.h"
#include "support/seats/scripted_station.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

constexpr std::uint64_t kSeed = 21;

Setup demo_setup() {
    Protocol protocol = read_protocol(ISOSEAM_SOURCE_DIR "/protocols/library/demo.yaml");
    std::vector<Calibration> calibrations;
    for (const std::string& path : calibration_paths(protocol, {}))
        calibrations.push_back(read_calibration(path));
    return Setup(std::move(protocol), calibrations);
}

std::string begun(const Setup& setup, Station& station, const std::string& out) {
    SessionHeader header = describe_session(setup, kSeed, station);
    header.participant = "P01";
    header.kind = "session";
    header.started_utc = "2026-11-26T00:00:00.000Z";
    SessionLog log = SessionLog::create(out, header, Durability::at_end);
    run_session(setup, kSeed, {"a warning"}, station, log, [](const std::string&) {});
    return log.folder();
}

SessionOutcome gone_on(const Setup& setup, Station& station, const std::string& path) {
    const SessionFolder folder = read_session_folder(path);
    SessionLog log = SessionLog::resume(folder, Durability::at_end);
    return go_on_with_session(setup, folder.header.seed, resumption_of(folder, "2026-11-26T01:00:00.000Z"),
                              {}, station, log, [](const std::string&) {});
}

// Trial, condition and starting point of each setting, by trial.
std::map<int, std::pair<std::string, Few<double>>> plan_of(const SessionFolder& folder) {
    std::map<int, std::pair<std::string, Few<double>>> plan;
    for (const SettingRecord& setting : folder.settings)
        plan[setting.trial] = {setting.condition, setting.start};
    return plan;
}

}  // namespace

TEST_CASE("interrupted after any byte, a session goes on with the trials that were left, and loses none") {
    const Setup setup = demo_setup();
    const TemporaryFolder out;
    SimulatedStation first(setup, 3, 1, {});
    const std::string whole = begun(setup, first, out.path());
    const SessionFolder undisturbed = read_session_folder(whole);
    REQUIRE(undisturbed.state == SessionState::complete);
    const std::string log = file_bytes(whole + "/settings.jsonl");
    const RandomStream random{5, 7001};
    for (std::uint64_t i = 0; i < 60; ++i) {
        // Anywhere, and at the ends of lines, but before the end of the session.
        const std::size_t last = log.rfind('\n', log.size() - 2);
        std::size_t cut = random.below(i, last + 1);
        if (i % 3 == 0)
            cut = log.rfind('\n', cut) == std::string::npos ? 0 : log.rfind('\n', cut) + 1;
        const TemporaryFolder copy;
        const std::string folder = copy.file("session");
        std::filesystem::copy(whole, folder);
        std::ofstream(folder + "/settings.jsonl", std::ios::binary | std::ios::trunc) << log.substr(0, cut);
        const SessionFolder interrupted = read_session_folder(folder);
        CAPTURE(cut);
        REQUIRE(interrupted.state == SessionState::interrupted);
        SimulatedStation again(setup, 4, 1, {});
        CHECK(gone_on(setup, again, folder).finished);
        const SessionFolder finished = read_session_folder(folder);
        CHECK(finished.state == SessionState::complete);
        CHECK(plan_of(finished) == plan_of(undisturbed));
        for (std::size_t k = 0; k < interrupted.settings.size(); ++k)
            CHECK(finished.settings[k].setting == interrupted.settings[k].setting);
        for (std::size_t k = 1; k < finished.events.size(); ++k)
            CHECK(finished.events[k].time_s >= finished.events[k - 1].time_s);
    }
}

TEST_CASE("a session that was left for lunch goes on, as often as need be") {
    const Setup setup = demo_setup();
    const TemporaryFolder out;
    ScriptedStation morning(setup, {accept(), step(0, +1), accept(), escape(), escape()});
    const std::string folder = begun(setup, morning, out.path());
    CHECK(read_session_folder(folder).state == SessionState::left_early);
    ScriptedStation noon(setup, {accept(), accept(), escape(), escape()});
    CHECK_FALSE(gone_on(setup, noon, folder).finished);
    CHECK(read_session_folder(folder).settings.size() == 2);
    ScriptedStation evening(setup, {accept(), accept(), accept(), accept()});
    const SessionOutcome outcome = gone_on(setup, evening, folder);
    CHECK(outcome.finished);
    CHECK(outcome.settings == 4);
    // Pages and adaptation are shown again, and no rest before the first trial.
    CHECK(evening.shown[0] == "page: Make both halves look the same");
    CHECK(evening.shown[1] == "adaptation");
    CHECK(evening.shown[2] == "field");
    const SessionFolder finished = read_session_folder(folder);
    CHECK(finished.state == SessionState::complete);
    CHECK(std::count_if(finished.events.begin(), finished.events.end(),
                        [](const Event& event) { return event.kind == "session_resumed"; }) == 2);
    CHECK_THAT(input_error_text([&] { SessionLog::resume(finished, Durability::at_end); }),
               Catch::Contains("this session is complete: there is nothing to go on with"));
}

TEST_CASE("two programs never write one session, and a damaged one is not gone on with") {
    const Setup setup = demo_setup();
    const TemporaryFolder out;
    ScriptedStation station(setup, {accept(), accept(), escape(), escape()});
    const std::string folder = begun(setup, station, out.path());
    const SessionFolder left = read_session_folder(folder);
    {
        const SessionLog writing = SessionLog::resume(left, Durability::at_end);
        try {
            SessionLog::resume(left, Durability::at_end);
            FAIL("a second writer");
        } catch (const MachineError& error) {
            CHECK_THAT(error.what(), Catch::Contains("another program is writing the session"));
        }
    }
    std::string log = file_bytes(folder + "/settings.jsonl");
    log[log.find("page_shown") + 2] = 'x';
    std::ofstream(folder + "/settings.jsonl", std::ios::binary | std::ios::trunc) << log;
    const SessionFolder damaged = read_session_folder(folder);
    REQUIRE(damaged.state == SessionState::damaged);
    CHECK_THAT(input_error_text([&] { SessionLog::resume(damaged, Durability::at_end); }),
               Catch::Contains("settings.jsonl"));
}
