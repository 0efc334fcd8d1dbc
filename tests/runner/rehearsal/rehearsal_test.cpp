#include "runner/rehearsal/rehearsal.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <map>

#include "results_schema/session_folder.h"
#include "runner/rehearsal/rehearsal_summary.h"
#include "support/file_bytes.h"
#include "support/seats/mixed_protocol.h"
#include "support/sixty_settings.h"
#include "support/temporary_folder.h"
#include "support/tolerances.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

const RehearsalListener kNobody{[](const std::string&) {}, [](int) {}, {}};
const std::atomic<bool> kNever = false;

RehearsalPlan plan_in(const std::string& out, int observers, int threads) {
    RehearsalPlan plan;
    plan.out = out;
    plan.observers = observers;
    plan.seed = 21;
    plan.threads = threads;
    return plan;
}

// Every file by its path below the folder.
std::map<std::string, std::string> tree(const std::string& folder) {
    std::map<std::string, std::string> files;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(folder)) {
        if (entry.is_regular_file())
            files[std::filesystem::relative(entry.path(), folder).string()] =
                file_bytes(entry.path().string());
    }
    return files;
}

}  // namespace

TEST_CASE("a rehearsal leaves the same bytes whatever the number of threads, and however often it is made") {
    const Setup setup = mixed_setup();
    const TemporaryFolder first;
    rehearse(setup, plan_in(first.path(), 7, 1), kNobody, kNever);
    const std::map<std::string, std::string> expected = tree(first.path());
    REQUIRE(expected.size() == 14);
    CHECK(expected.count("simulated-0001-20000101T000000Z/session.json") == 1);
    CHECK(expected.count("simulated-0007-20000101T000000Z/settings.jsonl") == 1);
    for (const int threads : {1, 2, 3}) {
        const TemporaryFolder again;
        rehearse(setup, plan_in(again.path(), 7, threads), kNobody, kNever);
        CHECK(tree(again.path()) == expected);
    }
    RehearsalPlan other = plan_in("", 7, 2);
    const TemporaryFolder another;
    other.out = another.path();
    other.seed = 22;
    rehearse(setup, other, kNobody, kNever);
    CHECK(tree(another.path()) != expected);
}

TEST_CASE("a rehearsal writes the very records of a session, marked as what they are") {
    const Setup setup = mixed_setup();
    const TemporaryFolder out;
    const std::vector<RehearsedSession> sessions =
        rehearse(setup, plan_in(out.path(), 4, 2), kNobody, kNever);
    REQUIRE(sessions.size() == 4);
    for (const RehearsedSession& session : sessions) {
        const SessionFolder folder = read_session_folder(session.folder);
        CHECK(folder.state == SessionState::complete);
        CHECK(folder.header.kind == "rehearsal");
        CHECK(folder.header.started_utc == kRehearsalUtc);
        CHECK(folder.header.simulated_observer.contains("criterion_sd"));
        CHECK(folder.settings.size() == 6);
        CHECK_FALSE(folder.answers.empty());
        // What was counted while it was written is what is on disk.
        std::size_t counted = 0;
        for (const SessionTally::Settings& settings : session.sums.settings)
            counted += static_cast<std::size_t>(settings.count);
        CHECK(counted == folder.settings.size());
        int trials = 0;
        for (const SessionTally::TaskRun& run : session.sums.runs)
            trials += run.trials;
        CHECK(trials == static_cast<int>(folder.answers.size()));
        CHECK(session.sums.finished);
        CHECK(session.sums.duration_s >= folder.events.back().time_s);
        CHECK(difference_from_course(setup, folder) == "");
    }
}

TEST_CASE("a folder with a rehearsal in it is refused, other things in it are let be") {
    const Setup setup = sixty_settings();
    const TemporaryFolder out;
    std::ofstream(out.file("notes.txt")) << "mine";
    rehearse(setup, plan_in(out.path(), 1, 1), kNobody, kNever);
    const auto before = tree(out.path());
    CHECK(before.size() == 3);
    CHECK_THROWS_WITH(rehearse(setup, plan_in(out.path(), 1, 1), kNobody, kNever),
                      Catch::Contains("holds a rehearsal already ('simulated-0001-20000101T000000Z')") &&
                          Catch::Contains("name another folder"));
    CHECK(tree(out.path()) == before);
}

TEST_CASE("stopped, a rehearsal ends the sessions that it has begun and begins no other") {
    const Setup setup = sixty_settings();
    const TemporaryFolder out;
    std::atomic<bool> stop = false;
    RehearsalListener listener = kNobody;
    listener.session_done = [&](int done) { stop = done >= 3; };
    const std::vector<RehearsedSession> sessions =
        rehearse(setup, plan_in(out.path(), 1000, 2), listener, stop);
    CHECK(sessions.size() >= 3);
    CHECK(sessions.size() <= 4);  // the other thread's was under way
    CHECK(tree(out.path()).size() == 2 * sessions.size());
    for (const RehearsedSession& session : sessions)
        CHECK(read_session_folder(session.folder).state == SessionState::complete);
}

TEST_CASE("what goes wrong in a thread is told, and ends the rehearsal") {
    const Setup setup = sixty_settings();
    const TemporaryFolder out;
    std::ofstream(out.file("a file")) << "where a folder should be";
    CHECK_THROWS_AS(rehearse(setup, plan_in(out.file("a file") + "/sessions", 5, 3), kNobody, kNever),
                    MachineError);
}

TEST_CASE("settings fall about each eye's own match with the noise that was asked for") {
    const Setup setup = sixty_settings();
    const TemporaryFolder out;
    RehearsalPlan plan = plan_in(out.path(), 20, 2);
    plan.traits.noise = {.l = 0.01, .m = 0.02, .s = 0.1};
    std::vector<SessionTally::Sums> sums;
    for (const RehearsedSession& session : rehearse(setup, plan, kNobody, kNever))
        sums.push_back(session.sums);
    const RehearsalSummary summary = summarise(setup.protocol(), sums);
    CHECK(summary.sessions == 20);
    CHECK(summary.left == 0);
    REQUIRE(summary.conditions.size() == 5);
    const std::array<double, 3> asked{0.01, 0.02, 0.1};
    // A hand's steps add up to one fine step on either side: L+M 2 %, L-M 0.4 %, S 3 %, evenly spread.
    const std::array<double, 3> steps{0.024, 0.024, 0.03};
    for (const RehearsalSummary::Condition& condition : summary.conditions) {
        CHECK(condition.settings == 240);
        for (std::size_t cone = 0; cone < 3; ++cone) {
            INFO(condition.name << " cone " << cone);
            const Measured& sd = (*condition.sd)[cone];
            CHECK(sd.value >= asked[cone] - 5.0 * *sd.standard_error);
            CHECK(sd.value <=
                  std::hypot(asked[cone], steps[cone] / std::sqrt(3.0)) + 5.0 * *sd.standard_error);
            CHECK(std::abs(condition.bias[cone].value) <= 5.0 * *condition.bias[cone].standard_error);
            CHECK((*condition.precision)[cone] ==
                  Approx(sd.value / std::sqrt(12.0)).epsilon(test::kRoundingOfDoubles));
        }
    }
}

TEST_CASE("a staircase finds the threshold that is true of each simulated observer") {
    const Setup setup = mixed_setup();
    const TemporaryFolder out;
    std::vector<SessionTally::Sums> sums;
    for (const RehearsedSession& session : rehearse(setup, plan_in(out.path(), 40, 2), kNobody, kNever))
        sums.push_back(session.sums);
    const RehearsalSummary summary = summarise(setup.protocol(), sums);
    REQUIRE(summary.tasks.size() == 3);
    for (const RehearsalSummary::Task& task : summary.tasks) {
        INFO(task.name);
        CHECK(task.runs == 40);
        if (task.name != "seen") {
            CHECK(task.mean_trials >= 12.0);
            CHECK(task.mean_trials <= 12.0 + 4.0 + 4.0);  // catch trials and practice
        }
        REQUIRE(task.bias_log10);
        // A dozen trials in steps of 0.1 log10 units: within half a step of the truth on average, and not
        // farther than chance lets them.
        CHECK(std::abs(task.bias_log10->value) <= 0.15 + 5.0 * *task.bias_log10->standard_error);
        CHECK(task.sd_log10->value < 0.4);
    }
}
