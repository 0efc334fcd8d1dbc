#include "runner/web/listening.h"

#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>

#include "base/errors.h"
#include "runner/web/machine_addresses.h"
#include "runner/web/served.h"
#include "support/error_text.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

std::string machine_error_text(const auto& call) {
    try {
        call();
    } catch (const MachineError& error) {
        return error.what();
    }
    return "no error";
}

std::string opening(const std::string& address, std::uint16_t port) {
    StubService service;
    return machine_error_text([&] { const WebServer server({address, port, {}}, {}, service); });
}

}  // namespace

TEST_CASE("a port that is in use is named, with what to do", "[listening]") {
    const Served served;
    const std::string port = std::to_string(served.server.port());
    CHECK(opening("127.0.0.1", served.server.port()) ==
          "port " + port + " of 127.0.0.1 is in use; take another port, or end the program that uses it");
    CHECK(opening("0.0.0.0", served.server.port()).starts_with("port " + port + " of 0.0.0.0 is in use"));
}

TEST_CASE("a port can be taken again at once when its server has ended", "[listening]") {
    std::uint16_t port = 0;
    {
        Served served;
        port = served.server.port();
        WebClient browser = served.client();
        browser.get("/");
        REQUIRE(browser.receive().status == 200);
    }
    CHECK(opening("127.0.0.1", port) == "no error");
}

TEST_CASE("an address of another machine, and what is no address, are named with those that would do",
          "[listening]") {
    // 192.0.2.0/24 is for documentation and belongs to nobody (RFC 5737).
    const std::string elsewhere = opening("192.0.2.1", 0);
    CHECK(elsewhere.starts_with("192.0.2.1 is not an address of this machine; take one of "));
    CHECK(elsewhere.find("127.0.0.1") != std::string::npos);
    CHECK(elsewhere.ends_with(", or 0.0.0.0 for all"));
    StubService service;
    const std::string word = input_error_text([&] {
        const WebServer server({"my laptop", 0, {}}, {}, service);
    });
    CHECK(word.find("address: 'my laptop' is no IP address; write one of ") != std::string::npos);
    const auto own = machine_addresses();
    CHECK(std::find(own.begin(), own.end(), "127.0.0.1") != own.end());
}

TEST_CASE("a port that needs a privilege is named, with those that need none", "[listening]") {
    std::ifstream file("/proc/sys/net/ipv4/ip_unprivileged_port_start");
    int first_free = 1024;
    file >> first_free;
    if (first_free <= 81) {
        WARN("every user may open every port here: not tested");
        return;
    }
    // In a process of its own, which gives up the privileges that the test may have.
    int ends[2];
    REQUIRE(pipe(ends) == 0);
    const pid_t child = fork();
    if (child == 0) {
        constexpr uid_t kNobody = 65534;
        const bool dropped = getuid() != 0 || setuid(kNobody) == 0;
        const std::string text = dropped ? opening("127.0.0.1", 81) : "privileges kept";
        const ssize_t written = write(ends[1], text.data(), text.size());
        _exit(written < 0 ? 1 : 0);
    }
    close(ends[1]);
    std::string text(200, '\0');
    text.resize(static_cast<std::size_t>(std::max<ssize_t>(0, read(ends[0], text.data(), text.size()))));
    close(ends[0]);
    waitpid(child, nullptr, 0);
    CHECK(text == "this user may not open port 81; take a port from 1024 to 65535");
}

TEST_CASE("open files are allowed for as many connections, or the lack is told", "[listening]") {
    rlimit before{};
    REQUIRE(getrlimit(RLIMIT_NOFILE, &before) == 0);
    const rlimit low{64, before.rlim_max};
    REQUIRE(setrlimit(RLIMIT_NOFILE, &low) == 0);
    allow_open_files(300);
    rlimit raised{};
    getrlimit(RLIMIT_NOFILE, &raised);
    CHECK(raised.rlim_cur == 556);
    allow_open_files(10);  // never lowered
    getrlimit(RLIMIT_NOFILE, &raised);
    CHECK(raised.rlim_cur == 556);
    setrlimit(RLIMIT_NOFILE, &before);
    CHECK(machine_error_text([] {
              allow_open_files(2'000'000'000);
          }).find("files at once, and 2000000000 connections need 2000000256; raise the limit") !=
          std::string::npos);
}
