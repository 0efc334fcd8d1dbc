#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <random>

#include "results_schema/session_folder.h"
#include "support/example_session.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

using namespace isoseam;

namespace {

constexpr int kMoments = 50;
constexpr int kMostSettings = 1000;  // as many as the example plans

// Runs in a child: writes settings as fast as it can, and tells the number of each that append has accepted.
[[noreturn]] void write_until_killed(const std::string& parent, Durability durability, int pipe_end) {
    SessionLog log = SessionLog::create(parent, test::example_header(), durability);
    log.append(0.0, "session_started", nlohmann::json::object());
    for (int trial = 1; trial <= kMostSettings; ++trial) {
        log.append(trial, "setting", to_json(test::example_setting(trial)));
        if (::write(pipe_end, &trial, sizeof trial) != sizeof trial) {
            ::_exit(1);
        }
    }
    for (;;) {
        ::pause();
    }
}

// The last number that the child told before it was killed, at a moment that depends on chance twice: after
// how many settings, and how long into the next ones.
int accepted_before_kill(const std::string& parent, Durability durability, std::mt19937& random) {
    int ends[2];
    REQUIRE(::pipe(ends) == 0);
    const pid_t child = ::fork();
    REQUIRE(child >= 0);
    if (child == 0) {
        ::close(ends[0]);
        write_until_killed(parent, durability, ends[1]);
    }
    ::close(ends[1]);
    const int wait_for = 1 + static_cast<int>(random() % 20U);
    int told = 0;
    while (told < wait_for && ::read(ends[0], &told, sizeof told) == sizeof told) {
    }
    ::usleep(static_cast<useconds_t>(random() % 2000U));
    ::kill(child, SIGKILL);
    int status = 0;
    ::waitpid(child, &status, 0);
    CHECK(WIFSIGNALED(status));
    while (::read(ends[0], &told, sizeof told) == sizeof told) {
    }
    ::close(ends[0]);
    return told;
}

}  // namespace

TEST_CASE("killed at 50 random moments: every accepted setting is there, and the state is interrupted") {
    for (const Durability durability : {Durability::each_event, Durability::at_end}) {
        std::mt19937 random(50);
        for (int moment = 0; moment < kMoments; ++moment) {
            const test::TemporaryFolder parent;
            const int accepted = accepted_before_kill(parent.path(), durability, random);
            const SessionFolder read = read_session_folder(parent.file("P01-20261125T160312Z"));
            INFO("moment " << moment << ": accepted " << accepted << ", read " << read.settings.size());
            REQUIRE(to_string(read.state) == "interrupted");
            REQUIRE(accepted >= 1);
            // One more may have reached the disk before its number was told.
            REQUIRE(static_cast<int>(read.settings.size()) >= accepted);
            REQUIRE(static_cast<int>(read.settings.size()) <= accepted + 1);
            for (std::size_t i = 0; i < read.settings.size(); ++i) {
                REQUIRE(to_json(read.settings[i]) == to_json(test::example_setting(static_cast<int>(i) + 1)));
            }
        }
    }
}
