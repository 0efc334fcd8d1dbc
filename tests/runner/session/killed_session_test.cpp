// A participant's hour can never be taken again: sessions that are killed at any moment, or whose disk fails,
// lose nothing that was accepted, and go on with the trials that they would have had.

#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <cerrno>
#include <filesystem>

#include "base/random.h"
#include "runner/rehearsal/simulated_station.h"
#include "runner/session/session_flow.h"
#include "runner/station/shown_records.h"
#include "support/seats/mixed_protocol.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

constexpr std::uint64_t kSeed = 33;

SessionLog new_log(const Setup& setup, const Station& station, const std::string& parent,
                   const SystemCalls& calls = SystemCalls::real()) {
    SessionHeader header = describe_session(setup, kSeed, station);
    header.participant = "P03";
    header.kind = "session";
    header.started_utc = "2026-11-26T00:00:00.000Z";
    return SessionLog::create(parent, header, Durability::each_event, calls);
}

// How many trials the log says it has saved, written where the parent can see it after the kill.
void tell(int pipe_end, int saved) {
    if (::write(pipe_end, &saved, sizeof saved) != sizeof saved)
        ::_exit(1);
}

[[noreturn]] void run_in_child(const Setup& setup, const std::string& parent, const std::string& folder,
                               std::uint64_t observer, int pipe_end) {
    SimulatedStation station(setup, observer, 1, {});
    const auto nobody = [](const std::string&) {};
    if (folder.empty()) {
        SessionLog log = new_log(setup, station, parent);
        run_session(
            setup, kSeed, {}, station, log, nobody, [pipe_end](int saved, int) { tell(pipe_end, saved); },
            "de");
    } else {
        const SessionFolder found = read_session_folder(folder);
        SessionLog log = SessionLog::resume(found, Durability::each_event);
        go_on_with_session(setup, kSeed, resumption_of(found, "2026-11-26T01:00:00.000Z"), {}, station, log,
                           nobody);
    }
    ::_exit(0);
}

struct Killed {
    int told = 0;
    bool ended_before = false;
};

Killed run_and_kill(const Setup& setup, const std::string& parent, const std::string& folder,
                    std::uint64_t observer, unsigned after_us) {
    int ends[2];
    REQUIRE(::pipe(ends) == 0);
    const pid_t child = ::fork();
    REQUIRE(child >= 0);
    if (child == 0) {
        ::close(ends[0]);
        run_in_child(setup, parent, folder, observer, ends[1]);
    }
    ::close(ends[1]);
    ::usleep(after_us);
    ::kill(child, SIGKILL);
    int status = 0;
    ::waitpid(child, &status, 0);
    Killed killed;
    killed.ended_before = WIFEXITED(status);
    while (::read(ends[0], &killed.told, sizeof killed.told) == sizeof killed.told) {
    }
    ::close(ends[0]);
    return killed;
}

std::string only_folder(const std::string& parent) {
    for (const auto& entry : std::filesystem::directory_iterator(parent))
        return entry.path().string();
    return "";
}

int trials_in(const SessionFolder& folder) {
    return static_cast<int>(folder.settings.size() + folder.answers.size());
}

// Kills and goes on until the session is complete; counts the kills.
int killed_until_complete(const Setup& setup, std::uint64_t session, const RandomStream& random,
                          std::uint64_t& draw) {
    constexpr std::uint64_t kLongestLifeUs = 20000;
    const TemporaryFolder parent;
    std::string folder;
    int kills = 0;
    int known = 0;
    std::uint64_t in_vain = 0;  // lives that saved nothing: on a busy machine they must grow longer
    for (std::uint64_t life = 0;; ++life) {
        const auto after_us = static_cast<unsigned>(random.below(draw++, kLongestLifeUs * ++in_vain));
        const Killed killed = run_and_kill(setup, parent.path(), folder, 100 * session + life, after_us);
        if (killed.ended_before)
            break;
        ++kills;
        if (folder.empty()) {
            folder = only_folder(parent.path());
            // Killed before anything was begun, or while the folder was being made.
            if (folder.empty() || !read_session_folder(folder).header_ok) {
                std::filesystem::remove_all(folder);
                folder.clear();
                continue;
            }
        }
        const SessionFolder found = read_session_folder(folder);
        INFO("session " << session << ", life " << life);
        CHECK(found.faults.empty());
        if (found.state == SessionState::complete)
            break;
        REQUIRE(found.state == SessionState::interrupted);
        REQUIRE(trials_in(found) >= std::max(known, killed.told));
        in_vain = trials_in(found) > known ? 0 : in_vain;
        known = trials_in(found);
        REQUIRE(difference_from_course(setup, found).empty());
    }
    if (folder.empty())
        folder = only_folder(parent.path());
    const SessionFolder done = read_session_folder(folder);
    CHECK(done.state == SessionState::complete);
    CHECK(difference_from_course(setup, done) == "");
    return kills;
}

int kill_sessions(int wanted) {
    const Setup setup = mixed_setup();
    const RandomStream random{2026, 7002};
    std::uint64_t draw = 0;
    int kills = 0;
    for (std::uint64_t session = 1; kills < wanted; ++session)
        kills += killed_until_complete(setup, session, random, draw);
    return kills;
}

// The system's calls, of which some fail or are cut short, as a disk that is full or broken for a while does.
SystemCalls failing_calls(const RandomStream& random, std::uint64_t& draw, double failing) {
    const SystemCalls real = SystemCalls::real();
    const auto fails = [=, &draw] { return random.uniform(draw++) < failing; };
    SystemCalls calls = real;
    calls.write = [=, &draw](int fd, const void* bytes, std::size_t count) -> ssize_t {
        if (fails()) {
            errno = random.uniform(draw++) < 0.5 ? ENOSPC : EIO;
            return -1;
        }
        const bool cut = count > 1 && random.uniform(draw++) < 0.3;
        return real.write(fd, bytes, cut ? 1 + random.below(draw++, count - 1) : count);
    };
    calls.sync = [=](int fd) {
        if (fails()) {
            errno = EIO;
            return -1;
        }
        return real.sync(fd);
    };
    return calls;
}

}  // namespace

TEST_CASE(
    "killed at 100 random moments, sessions of every kind of trial lose nothing and go on as they would "
    "have") {
    CHECK(kill_sessions(100) >= 100);
}

// Some minutes: ./dev build release test_runner_session && build/release/tests/test_runner_session "[thousand]"
TEST_CASE("killed at 1000 random moments", "[.thousand]") {
    CHECK(kill_sessions(1000) >= 1000);
}

TEST_CASE("while writing fails again and again, whatever was accepted is written in the end") {
    const Setup setup = mixed_setup();
    for (std::uint64_t round = 0; round < 40; ++round) {
        const RandomStream random{round, 7003};
        std::uint64_t draw = 0;
        const TemporaryFolder parent;
        SimulatedStation station(setup, round, 1, {});
        std::string folder;
        int reports = 0;
        {
            bool begun = false;
            const SystemCalls real = SystemCalls::real();
            SystemCalls calls = failing_calls(random, draw, 0.15);
            const SystemCalls failing = calls;
            // The folder itself is made on a sound disk.
            calls.write = [&](int fd, const void* bytes, std::size_t count) {
                return begun ? failing.write(fd, bytes, count) : real.write(fd, bytes, count);
            };
            calls.sync = [&](int fd) { return begun ? failing.sync(fd) : real.sync(fd); };
            SessionLog log = new_log(setup, station, parent.path(), calls);
            folder = log.folder();
            begun = true;
            const SessionOutcome outcome = run_session(
                setup, kSeed, {}, station, log, [&](const std::string&) { ++reports; }, {}, "en");
            CHECK(outcome.finished);
        }
        CHECK(reports > 0);
        const SessionFolder read = read_session_folder(folder);
        INFO("round " << round);
        CHECK(read.state == SessionState::complete);
        CHECK(read.settings.size() == 6);
        CHECK(difference_from_course(setup, read) == "");
    }
}
