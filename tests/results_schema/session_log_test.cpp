#include "results_schema/session_log.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/statvfs.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <cerrno>
#include <nlohmann/json.hpp>
#include <set>

#include "base/errors.h"
#include "results_schema/session_folder.h"
#include "support/example_session.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using Catch::Matchers::Contains;
using Catch::Matchers::Equals;

namespace {

const nlohmann::json kNothing = nlohmann::json::object();

int failing(int error) {
    errno = error;
    return -1;
}

SessionLog started(const std::string& parent, const SystemCalls& calls) {
    SessionLog log = SessionLog::create(parent, test::example_header(), Durability::each_event, calls);
    log.append(0.0, "session_started", kNothing);
    return log;
}

void finish(SessionLog& log, int settings) {
    log.append(99.0, "session_ended", {{"reason", "finished"}, {"settings", settings}});
}

void check_whole(const std::string& folder, std::size_t settings) {
    const SessionFolder read = read_session_folder(folder);
    CHECK(to_string(read.state) == "complete");
    REQUIRE(read.settings.size() == settings);
    for (std::size_t i = 0; i < settings; ++i) {
        CHECK(to_json(read.settings[i]) == to_json(test::example_setting(static_cast<int>(i) + 1)));
    }
}

std::string what_create_says(const std::string& parent) {
    try {
        SessionLog::create(parent, test::example_header(), Durability::each_event);
    } catch (const MachineError& error) {
        return error.what();
    }
    return "made";
}

// The words of SessionLog::create in a process of the user nobody, whom rights bind even where the tests run
// as root.
std::string what_nobody_is_told(const std::string& parent) {
    int ends[2];
    REQUIRE(::pipe(ends) == 0);
    const pid_t child = ::fork();
    if (child == 0) {
        constexpr uid_t kNobody = 65534;
        const bool switched = ::geteuid() != 0 || ::setuid(kNobody) == 0;
        const std::string said = switched ? what_create_says(parent) : "cannot become nobody";
        const bool sent = ::write(ends[1], said.data(), said.size()) == static_cast<ssize_t>(said.size());
        ::_exit(sent ? 0 : 1);
    }
    ::close(ends[1]);
    std::string said;
    char c = 0;
    while (::read(ends[0], &c, 1) == 1) {
        said += c;
    }
    ::close(ends[0]);
    ::waitpid(child, nullptr, 0);
    return said;
}

}  // namespace

TEST_CASE("a session folder is named by participant and start, and is never shared") {
    const test::TemporaryFolder parent;
    const std::string out = parent.file("new/out");
    const auto create = [&] {
        return SessionLog::create(out, test::example_header(), Durability::each_event);
    };
    const SessionLog first = create();
    const SessionLog second = create();
    const SessionLog third = create();
    CHECK(first.folder() == out + "/P01-20261125T160312Z");
    CHECK(second.folder() == out + "/P01-20261125T160312Z-2");
    CHECK(third.folder() == out + "/P01-20261125T160312Z-3");
    CHECK(third.header().session == "P01-20261125T160312Z-3");
    CHECK(read_session_folder(second.folder()).header.session == "P01-20261125T160312Z-2");
}

TEST_CASE("a log is what the README says, to the byte") {
    const test::TemporaryFolder parent;
    SessionLog log = started(parent.path(), SystemCalls::real());
    log.append(0.1, "page_shown", {{"page", 1}});
    CHECK(log.events_written() == 2);
    const std::string header = sha256_hex(test::file_bytes(log.folder() + "/session.json"));
    const std::string first = R"({"number":1,"time_s":0.0,"event":"session_started","data":{})";
    const std::string second = R"({"number":2,"time_s":0.1,"event":"page_shown","data":{"page":1})";
    const std::string first_sum = sha256_hex(header + first).substr(0, 16);
    const std::string second_sum = sha256_hex(first_sum + second).substr(0, 16);
    CHECK(test::file_bytes(log.folder() + "/settings.jsonl") ==
          fmt::format("{},\"checksum\":\"{}\"}}\n{},\"checksum\":\"{}\"}}\n", first, first_sum, second,
                      second_sum));
}

TEST_CASE("each event is synced before append returns, a rehearsal syncs at its end") {
    const test::TemporaryFolder parent;
    int syncs = 0;
    std::string order;
    SystemCalls calls = SystemCalls::real();
    calls.sync = [&](int fd) {
        ++syncs;
        order += 's';
        return ::fdatasync(fd);
    };
    calls.write = [&](int fd, const void* bytes, std::size_t count) {
        order += 'w';
        return ::write(fd, bytes, count);
    };
    calls.sync_folder = [&](int fd) {
        order += 'f';
        return ::fsync(fd);
    };
    SessionLog person = started(parent.path(), calls);
    person.append(1.0, "rest_started", kNothing);
    CHECK(order == "wsffwsws");  // session.json, its folder, the folder above; then each event
    syncs = 0;
    SessionLog rehearsal =
        SessionLog::create(parent.path(), test::example_rehearsal(), Durability::at_end, calls);
    order.clear();
    rehearsal.append(0.0, "session_started", kNothing);
    rehearsal.append(1.0, "rest_started", kNothing);
    finish(rehearsal, 0);
    CHECK(order == "wwws");
}

TEST_CASE("short writes are completed and interrupted calls repeated") {
    const test::TemporaryFolder parent;
    int calls_made = 0;
    SystemCalls calls = SystemCalls::real();
    calls.write = [&](int fd, const void* bytes, std::size_t count) -> ssize_t {
        ++calls_made;
        return calls_made % 3 == 0 ? failing(EINTR) : ::write(fd, bytes, std::min<std::size_t>(count, 7));
    };
    calls.sync = [&](int fd) { return ++calls_made % 2 == 0 ? failing(EINTR) : ::fdatasync(fd); };
    SessionLog log = started(parent.path(), calls);
    log.append(1.0, "setting", to_json(test::example_setting(1)));
    finish(log, 1);
    check_whole(log.folder(), 1);
}

TEST_CASE(
    "a full disk in the middle of a line: said clearly, cut off, and the same event can be written again") {
    const test::TemporaryFolder parent;
    std::size_t space = 1000000;
    SystemCalls calls = SystemCalls::real();
    calls.write = [&](int fd, const void* bytes, std::size_t count) -> ssize_t {
        if (space == 0) {
            return failing(ENOSPC);
        }
        const ssize_t written = ::write(fd, bytes, std::min(count, space));
        space -= static_cast<std::size_t>(written);
        return written;
    };
    SessionLog log = started(parent.path(), calls);
    log.append(1.0, "setting", to_json(test::example_setting(1)));
    const std::string before = test::file_bytes(log.folder() + "/settings.jsonl");
    for (const std::size_t left : {0U, 1U, 40U, 500U}) {
        space = left;
        CHECK_THROWS_MATCHES(
            log.append(2.0, "setting", to_json(test::example_setting(2))), MachineError,
            Catch::Matchers::Message(fmt::format(
                "disk full: cannot write {}/settings.jsonl (No space left on device); free some space there "
                "and try again; what was accepted before is safe",
                log.folder())));
        CHECK(test::file_bytes(log.folder() + "/settings.jsonl") == before);
        CHECK(to_string(read_session_folder(log.folder()).state) == "interrupted");
    }
    space = 1000000;
    log.append(3.0, "setting", to_json(test::example_setting(2)));
    finish(log, 2);
    check_whole(log.folder(), 2);
}

TEST_CASE("a failing sync is an error, and the event counts as not written") {
    const test::TemporaryFolder parent;
    bool broken = false;
    SystemCalls calls = SystemCalls::real();
    calls.sync = [&](int fd) { return broken ? failing(EIO) : ::fdatasync(fd); };
    SessionLog log = started(parent.path(), calls);
    broken = true;
    CHECK_THROWS_MATCHES(
        log.append(1.0, "setting", to_json(test::example_setting(1))), MachineError,
        Catch::Matchers::Predicate<MachineError>([](const MachineError& error) {
            return Contains("settings.jsonl (Input/output error); see that the disk is connected")
                .match(error.what());
        }));
    CHECK(log.events_written() == 1);
    broken = false;
    log.append(1.0, "setting", to_json(test::example_setting(1)));
    finish(log, 1);
    check_whole(log.folder(), 1);
}

TEST_CASE("a session that cannot be begun leaves no folder behind") {
    const test::TemporaryFolder parent;
    const auto entries = [&] {
        return std::distance(std::filesystem::directory_iterator(parent.path()), {});
    };
    SystemCalls full = SystemCalls::real();
    full.write = [](int, const void*, std::size_t) -> ssize_t { return failing(ENOSPC); };
    SystemCalls unsynced = SystemCalls::real();
    unsynced.sync_folder = [](int) { return failing(EIO); };
    SystemCalls read_only = SystemCalls::real();
    read_only.open = [](const char* path, int flags, unsigned mode) {
        return (flags & O_CREAT) != 0 ? failing(EROFS) : ::open(path, flags, mode);
    };
    for (const auto& [calls, words] :
         {std::pair(full, "disk full: cannot write"), std::pair(unsynced, "cannot sync the folder"),
          std::pair(read_only, "no right to write: cannot make")}) {
        CHECK_THROWS_WITH(started(parent.path(), calls), Contains(words));
        CHECK(entries() == 0);
    }
}

TEST_CASE("a file system that cannot sync folders will do") {
    const test::TemporaryFolder parent;
    SystemCalls calls = SystemCalls::real();
    calls.sync_folder = [](int) { return failing(EINVAL); };
    CHECK_NOTHROW(started(parent.path(), calls));
}

TEST_CASE("a folder that cannot be written to, or is a file, is named with a way out") {
    const test::TemporaryFolder parent;
    std::filesystem::permissions(parent.path(), std::filesystem::perms(0555));
    CHECK_THAT(
        what_nobody_is_told(parent.file("out")),
        Equals(fmt::format(
            "no right to write: cannot make the folder {} (Permission denied); choose another folder with "
            "--out, or change the rights of this one",
            parent.file("out"))));
    std::filesystem::permissions(parent.path(), std::filesystem::perms(0755));
    test::write_file(parent.file("file"), "");
    for (const char* out : {"file", "file/below"}) {
        CHECK(what_create_says(parent.file(out)) ==
              fmt::format("cannot make a session folder in {}: it is a file, not a "
                          "folder; choose another folder with --out",
                          parent.file("file")));
    }
}

TEST_CASE("what cannot be stored is refused before anything is made") {
    const test::TemporaryFolder parent;
    const auto create = [&](const SessionHeader& header) {
        SessionLog::create(parent.path(), header, Durability::at_end);
    };
    SessionHeader header = test::example_header();
    header.participant = "first name";
    CHECK_THROWS_WITH(create(header),
                      Contains("'first name' is not a participant code; write 1 to 32 letters"));
    header = test::example_header();
    header.protocol = test::stored_text("latin.yaml", "title: F\xfcllen\n");
    CHECK_THROWS_WITH(create(header),
                      Contains("latin.yaml") && Contains("is not UTF-8 text; save it as UTF-8"));
    CHECK(std::filesystem::is_empty(parent.path()));
}

TEST_CASE("a log has one beginning and nothing after its end") {
    const test::TemporaryFolder parent;
    SessionLog log = SessionLog::create(parent.path(), test::example_header(), Durability::at_end);
    CHECK_THROWS_AS(log.append(0.0, "rest_started", kNothing), std::logic_error);
    log.append(0.0, "session_started", kNothing);
    CHECK_THROWS_AS(log.append(0.0, "session_started", kNothing), std::logic_error);
    CHECK_THROWS_WITH(log.append(0.0, "warning", {{"text", std::nan("")}}), Contains("/data/text = nan"));
    finish(log, 0);
    CHECK_THROWS_AS(log.append(0.0, "rest_started", kNothing), std::logic_error);
}

TEST_CASE("free space is that of the nearest folder that exists") {
    const test::TemporaryFolder parent;
    struct statvfs info {};
    REQUIRE(::statvfs(parent.path().c_str(), &info) == 0);
    const double expected = static_cast<double>(info.f_bavail) * static_cast<double>(info.f_frsize);
    const auto answer = static_cast<double>(free_bytes(parent.file("not/yet/there")));
    // Others write to this disk while the test runs: a tenth of it, or 1 GB, is allowed for.
    CHECK(answer == Approx(expected).epsilon(0.1).margin(1e9));
    CHECK(free_bytes("") > 0);
}
