// Event streams over real sockets.
#include <catch2/catch.hpp>

#include "runner/web/served.h"
#include "runner/web/web_server.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

WebClient streaming(Served& served, const std::string& ticket = {}) {
    WebClient browser = served.client();
    browser.get("/events", ticket.empty() ? ticket : "Cookie: ticket=" + ticket + "\r\n");
    REQUIRE(browser.receive().status == 200);
    REQUIRE(browser.chunk().starts_with("retry: "));
    REQUIRE(browser.event() == "first");
    return browser;
}

std::uint64_t refused_streams(const Served& served) {
    const auto refused = served.server.counts().refused;
    return refused.streams + refused.streams_per_ticket;
}

}  // namespace

TEST_CASE("a stream begins with the state and gets what is published on its channel", "[stream]") {
    Served served;
    WebClient browser = served.client();
    browser.get("/events", "Cookie: ticket=abc\r\n");
    const auto head = browser.receive();
    CHECK(head.status == 200);
    CHECK(head.fields.at("content-type") == "text/event-stream");
    CHECK(head.fields.at("transfer-encoding") == "chunked");
    CHECK(head.fields.at("cache-control") == "no-store");
    CHECK(browser.chunk() == "retry: 1000\n\n");
    CHECK(browser.event() == "first");
    CHECK(served.service.opened == "state abc");
    served.server.publish("another", "not for here");
    served.server.publish("state", "{\"scene\":2}");
    CHECK(browser.event() == "{\"scene\":2}");
    CHECK(served.server.counts().streams == 1);
}

TEST_CASE("another thread publishes, and every stream comes to the newest event", "[stream]") {
    Served served;
    std::vector<WebClient> browsers;
    for (int i = 0; i < 50; ++i) {
        browsers.push_back(streaming(served));
    }
    std::jthread publisher([&] {
        for (int i = 1; i <= 1000; ++i) {
            served.server.publish("state", std::to_string(i));
        }
    });
    for (auto& browser : browsers) {
        int last = 0;
        while (last < 1000) {
            const int next = std::stoi(browser.event());
            REQUIRE(next > last);  // in order, none twice, some left out
            last = next;
        }
    }
}

TEST_CASE("a slow reader skips to the newest event, and nothing piles up for it", "[stream]") {
    Served served;
    WebClient slow = served.client(4096);
    slow.get("/events");
    REQUIRE(slow.receive().status == 200);
    REQUIRE(slow.event() == "first");
    WebClient quick = streaming(served);
    // 200 events of 64 KiB, far more than system buffers hold. The quick reader sees to it that each was on
    // its way.
    const std::string filling(65'536, ' ');
    for (int i = 1; i <= 200; ++i) {
        served.server.publish("state", std::to_string(i) + filling);
        REQUIRE(std::stoi(quick.event()) == i);
    }
    int seen = 0;
    int last = 0;
    while (last < 200) {
        const int next = std::stoi(slow.event());
        REQUIRE(next > last);
        last = next;
        ++seen;
    }
    CHECK(seen < 100);
}

TEST_CASE("a stream whose reader takes nothing at all is cut", "[stream]") {
    WebLimits limits;
    limits.response_s = 0.5;
    Served served(limits);
    WebClient stuck = served.client(4096);
    stuck.get("/events");
    REQUIRE(comes_true([&] { return served.service.open == 1; }));
    REQUIRE(comes_true([&] {
        served.server.publish("state", std::string(1'000'000, ' '));
        return served.server.counts().refused.slow_readers == 1;
    }));
    CHECK(served.service.open == 0);
}

TEST_CASE("heartbeats keep a silent stream open", "[stream]") {
    WebLimits limits;
    limits.heartbeat_s = 0.2;
    limits.idle_s = 0.3;  // not for streams
    limits.response_s = 0.3;
    Served served(limits);
    WebClient browser = streaming(served);
    for (int i = 0; i < 4; ++i) {
        CHECK(browser.chunk() == ":\n\n");
    }
    served.server.publish("state", "still here");
    CHECK(browser.event() == "still here");
}

TEST_CASE("a stream that ends is told once, with its channel and ticket", "[stream]") {
    Served served;
    {
        WebClient browser = streaming(served, "abc");
        CHECK(served.service.open == 1);
    }
    REQUIRE(comes_true([&] { return served.server.counts().streams == 0; }));
    CHECK(served.service.open == 0);
    CHECK(served.service.closed == "state abc");
    // Whoever talks into a stream loses it.
    WebClient talker = streaming(served);
    talker.get("/");
    CHECK(talker.closed());
    REQUIRE(comes_true([&] { return served.service.open == 0; }));
    CHECK(served.server.counts().most_streams == 1);
}

TEST_CASE("streams have their limit, in all and for each ticket", "[stream]") {
    const bool in_all = GENERATE(true, false);
    WebLimits limits;
    limits.streams = in_all ? 2 : 100;
    limits.streams_per_ticket = in_all ? 100 : 2;
    Served served(limits);
    WebClient first = streaming(served, "abc");
    {
        const WebClient second = streaming(served, "abc");
        WebClient third = served.client();
        third.get("/events", "Cookie: ticket=abc\r\n");
        const auto refused = third.receive();
        CHECK(refused.status == (in_all ? 503 : 429));
        CHECK(refused.fields.at("retry-after") == "5");
        CHECK(served.service.open == 2);
        CHECK(refused_streams(served) == 1);
        WebClient other = served.client();
        other.get("/events", "Cookie: ticket=other\r\n");
        CHECK(other.receive().status == (in_all ? 503 : 200));
    }
    REQUIRE(comes_true([&] { return served.server.counts().streams == 1; }));
    const WebClient again = streaming(served, "abc");
}

TEST_CASE("a stream is refused to HTTP/1.0, and HEAD opens none", "[stream]") {
    Served served;
    const std::string host = "Host: localhost:" + std::to_string(served.server.port()) + "\r\n\r\n";
    WebClient old = served.client();
    old.send("GET /events HTTP/1.0\r\n" + host);
    CHECK(old.receive().status == 505);
    WebClient head = served.client();
    head.get("/events", {}, "HEAD");
    const auto response = head.receive();
    CHECK(response.fields.at("content-type") == "text/event-stream");
    head.get("/");
    CHECK(head.receive().status == 200);
    CHECK(served.service.open == 0);
}

TEST_CASE("when the server ends, streams get the last event and a proper end", "[stream]") {
    WebLimits limits;  // long ones: nobody is to be cut before the end, however slow the machine
    limits.request_s = limits.response_s = limits.idle_s = 600.0;
    auto served = std::make_unique<Served>(limits);
    std::vector<WebClient> browsers;
    for (int i = 0; i < 20; ++i) {
        browsers.push_back(streaming(*served));
    }
    WebClient idle = served->client();
    WebClient half = served->client();
    half.send("GET / HTT");
    // One that takes nothing must not hold the end up.
    WebClient stuck = served->client(4096);
    stuck.get("/events");
    REQUIRE(comes_true([&] { return served->service.open == 21; }));
    for (int i = 0; i < 20; ++i) {
        served->server.publish("state", std::string(1'000'000, ' '));
        for (auto& browser : browsers) {
            browser.event();
        }
    }
    served->server.publish("state", "the end");
    const auto begin = std::chrono::steady_clock::now();
    std::jthread ending([&] { served.reset(); });
    for (auto& browser : browsers) {
        CHECK(browser.event() == "the end");
        CHECK(browser.event() == "end of stream");
        CHECK(browser.closed());
    }
    CHECK(idle.closed());
    CHECK(half.closed());
    ending.join();
    CHECK(std::chrono::steady_clock::now() - begin < std::chrono::seconds(3));
}

TEST_CASE("every stream that was opened is closed when the server has ended", "[stream]") {
    StubService service;
    std::vector<WebClient> browsers;
    {
        const WebServer server({}, {}, service);
        for (int i = 0; i < 10; ++i) {
            browsers.emplace_back(server.port());
            browsers.back().get("/events");
            REQUIRE(browsers.back().receive().status == 200);
        }
        CHECK(service.open == 10);
    }
    CHECK(service.open == 0);
}
