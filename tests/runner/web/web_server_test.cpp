// Real sockets on loopback. Streams have a file of their own: web_server_streams_test.cpp.
#include "runner/web/web_server.h"

#include <catch2/catch.hpp>
#include <memory>

#include "runner/web/served.h"

using namespace isoseam;
using namespace isoseam::test;

TEST_CASE("a page, a post and a ticket go to and fro on one connection", "[server]") {
    Served served;
    WebClient browser = served.client();
    browser.get("/?room=K7QX2P");
    const auto page = browser.receive();
    CHECK(page.status == 200);
    CHECK(page.body == "<!doctype html>page");
    CHECK(page.fields.at("content-type") == "text/html; charset=utf-8");
    CHECK(page.fields.at("connection") == "keep-alive");
    CHECK(served.service.last.query.at("room") == "K7QX2P");
    CHECK(served.service.last.client == "127.0.0.1");
    CHECK(served.service.last.ticket.empty());

    browser.post("/join", "{\"room\":\"K7QX2P\"}",
                 "Origin: http://127.0.0.1:" + std::to_string(served.server.port()) + "\r\n");
    const auto joined = browser.receive();
    CHECK(joined.body == "{\"person\":1}");
    CHECK(joined.fields.at("set-cookie") == "ticket=abc-DEF_123; HttpOnly; SameSite=Strict; Path=/");
    CHECK(served.service.last.body == "{\"room\":\"K7QX2P\"}");

    browser.post("/answer", "{}", "Cookie: ticket=abc-DEF_123\r\n");
    CHECK(browser.receive().status == 204);
    CHECK(served.service.last.ticket == "abc-DEF_123");
    browser.get("/answer");
    const auto wrong = browser.receive();
    CHECK(wrong.status == 405);
    CHECK(wrong.fields.at("allow") == "POST");
    browser.get("/", {}, "HEAD");
    const auto head = browser.receive(false);
    CHECK(head.fields.at("content-length") == "19");
    browser.get("/nowhere");  // the next response stands where the body of HEAD would be
    CHECK(browser.receive().status == 404);
    CHECK(served.server.counts().requests == 6);
    CHECK(served.server.counts().connections == 1);
}

TEST_CASE("requests that come together are answered one after the other", "[server]") {
    Served served;
    WebClient browser = served.client();
    const std::string host = "Host: localhost:" + std::to_string(served.server.port()) + "\r\n";
    browser.send("GET / HTTP/1.1\r\n" + host + "\r\nGET /nowhere HTTP/1.1\r\n" + host +
                 "\r\nPOST /answer HTTP/1.1\r\n" + host +
                 "Content-Type: application/json\r\nContent-Length: 2\r\n\r\n{}GET / HTTP/1.1\r\n" + host +
                 "Connection: close\r\n\r\nGET / HTTP/1.1\r\n" + host + "\r\n");
    CHECK(browser.receive().status == 200);
    CHECK(browser.receive().status == 404);
    CHECK(browser.receive().status == 204);
    const auto last = browser.receive();
    CHECK(last.status == 200);
    CHECK(last.fields.at("connection") == "close");
    CHECK(browser.closed());
    CHECK(served.service.asked == 4);
}

TEST_CASE("what breaks a rule never reaches the service and is never echoed", "[server]") {
    Served served;
    const std::string host = "Host: 127.0.0.1:" + std::to_string(served.server.port()) + "\r\n";
    const auto status = [&](const std::string& bytes) {
        WebClient browser = served.client();
        browser.send(bytes);
        const auto response = browser.receive();
        CHECK(response.text.find("marker") == std::string::npos);
        return response.status;
    };
    CHECK(status("marker / HTTP/1.1\r\n\r\n") == 400);
    CHECK(status("GET /marker HTTP/3.0\r\n" + host + "\r\n") == 505);
    CHECK(status("MARKER /marker HTTP/1.1\r\n" + host + "\r\n") == 405);
    CHECK(status("GET /marker HTTP/1.1\r\n\r\n") == 400);
    CHECK(status("GET /marker HTTP/1.1\r\nHost: marker.example\r\n\r\n") == 421);
    CHECK(status("GET /marker/../marker HTTP/1.1\r\n" + host + "\r\n") == 404);
    CHECK(status("GET /?marker=%0a HTTP/1.1\r\n" + host + "\r\n") == 400);
    const std::string post = "POST /marker HTTP/1.1\r\n" + host;
    CHECK(status(post + "Content-Type: text/marker\r\nContent-Length: 6\r\n\r\nmarker") == 415);
    CHECK(status(post + "Content-Type: application/json\r\n\r\n") == 411);
    CHECK(status(post + "Transfer-Encoding: chunked\r\n\r\n6\r\nmarker\r\n0\r\n\r\n") == 411);
    CHECK(status(post + "Content-Length: 1\r\nContent-Length: 6\r\n\r\nmarker") == 400);
    CHECK(
        status(
            post +
            "Origin: http://marker.example\r\nContent-Type: application/json\r\nContent-Length: 0\r\n\r\n") ==
        403);
    CHECK(served.service.asked == 0);
    CHECK(status("GET /marker HTTP/1.1\r\n" + host + "\r\n") == 404);
    CHECK(served.service.asked == 1);
    const auto refused = served.server.counts().refused;
    CHECK(refused.wrong_host == 1);
    CHECK(refused.other_site == 1);
    CHECK(refused.malformed == 5);
}

TEST_CASE("a name that was given is answered to", "[server]") {
    Served served({}, {"class.example.org:80"});
    WebClient browser = served.client();
    browser.send("GET / HTTP/1.1\r\nHost: class.example.org\r\n\r\n");
    CHECK(browser.receive().status == 200);
}

TEST_CASE("too large a request is refused, and the refusal arrives though the client is still sending",
          "[server]") {
    WebLimits limits;
    limits.header_bytes = 512;
    limits.body_bytes = 100;
    Served served(limits);
    WebClient long_header = served.client();
    long_header.send("GET /" + std::string(100'000, 'a'));
    CHECK(long_header.receive().status == 431);
    CHECK(long_header.closed());
    WebClient long_body = served.client();
    long_body.post("/answer", std::string(100'000, 'b'));
    CHECK(long_body.receive().status == 413);
    CHECK(long_body.closed());
    CHECK(served.server.counts().refused.header_bytes == 1);
    CHECK(served.server.counts().refused.body_bytes == 1);
}

TEST_CASE("a slow sender is cut after the time for a whole request, an idle one in silence", "[server]") {
    WebLimits limits;
    limits.request_s = 0.5;
    limits.idle_s = 0.5;
    Served served(limits);
    WebClient idle = served.client();
    WebClient slow = served.client();
    slow.send("GET / HTTP/1.1\r\n");
    const auto begin = std::chrono::steady_clock::now();
    // A byte now and then does not help.
    std::jthread trickle([&](const std::stop_token& stop) {
        while (!stop.stop_requested() && slow.send("x")) {
            std::this_thread::sleep_for(std::chrono::milliseconds(50));
        }
    });
    CHECK(slow.receive().status == 408);
    CHECK(std::chrono::steady_clock::now() - begin > std::chrono::milliseconds(400));
    CHECK(slow.closed());
    trickle.request_stop();
    CHECK(idle.closed());
    CHECK(comes_true([&] { return served.server.counts().connections == 0; }));
    CHECK(served.server.counts().refused.slow_requests == 1);
}

TEST_CASE("a reader that does not take its response is cut", "[server]") {
    WebLimits limits;
    limits.response_s = 0.5;
    Served served(limits);
    WebClient reader = served.client(4096);
    reader.get("/long");
    CHECK(comes_true([&] { return served.server.counts().refused.slow_readers == 1; }));
    CHECK(served.server.counts().connections == 0);
}

TEST_CASE("connections have their limit, in all and for each client", "[server]") {
    const bool in_all = GENERATE(true, false);
    WebLimits limits;
    limits.connections = in_all ? 3 : 100;
    limits.connections_per_client = in_all ? 100 : 3;
    limits.idle_short_s = 20.0;
    Served served(limits);
    std::vector<WebClient> held;
    for (int i = 0; i < 3; ++i) {
        held.push_back(served.client());
        held.back().get("/");
        REQUIRE(held.back().receive().status == 200);
    }
    WebClient one_more = served.client();
    one_more.get("/");
    const auto refused = one_more.receive();
    CHECK(refused.status == 503);
    CHECK(refused.fields.at("retry-after") == "5");
    CHECK(one_more.closed());
    CHECK(served.server.counts().refused.connections == (in_all ? 1 : 0));
    CHECK(served.server.counts().refused.connections_per_client == (in_all ? 0 : 1));
    CHECK(served.server.counts().most_connections == 3);
    // A place that is given back is there for the next one.
    held.pop_back();
    REQUIRE(comes_true([&] { return served.server.counts().connections == 2; }));
    WebClient next = served.client();
    next.get("/");
    CHECK(next.receive().status == 200);
}

TEST_CASE("a response that ends its connection gives its place back at once", "[server]") {
    Served served;
    WebClient browser = served.client();
    browser.get("/");
    CHECK(browser.receive().fields.at("connection") == "keep-alive");
    browser.get("/once");
    const auto last = browser.receive();
    CHECK(last.status == 200);
    CHECK(last.body == "once");
    CHECK(last.fields.at("connection") == "close");
    CHECK(browser.closed());
}

TEST_CASE("idle connections end sooner while places are short, streams do not", "[server]") {
    const bool in_all = GENERATE(true, false);
    WebLimits limits;
    limits.connections = in_all ? 8 : 100;
    limits.connections_per_client = in_all ? 100 : 8;
    limits.idle_short_s = 0.3;
    Served served(limits);
    WebClient stream = served.client();
    stream.get("/events");
    REQUIRE(stream.receive().status == 200);
    std::vector<WebClient> idle;
    for (int i = 0; i < 3; ++i) {
        idle.push_back(served.client());
        idle.back().get("/");
        REQUIRE(idle.back().receive().status == 200);
    }
    // Four of eight: nobody is in the way.
    std::this_thread::sleep_for(std::chrono::milliseconds(900));
    CHECK(served.server.counts().connections == 4);
    for (int i = 0; i < 4; ++i) {
        idle.push_back(served.client());
    }
    // What a browser opened and did not use goes as well.
    REQUIRE(comes_true([&] { return served.server.counts().most_connections > 4; }));
    CHECK(comes_true([&] { return served.server.counts().connections == 4; }));
    CHECK(served.service.open == 1);
    WebClient next = served.client();
    next.get("/");
    CHECK(next.receive().status == 200);
}

TEST_CASE("requests have their rates, for each ticket and client and in all", "[server]") {
    const std::string of = GENERATE("ticket", "client", "all");
    WebLimits limits;
    const WebRate slow{0.4, 3.0};
    (of == "ticket"   ? limits.requests_per_ticket
     : of == "client" ? limits.requests_per_client
                      : limits.requests) = slow;
    Served served(limits);
    WebClient browser = served.client();
    for (int i = 0; i < 3; ++i) {
        browser.get("/", "Cookie: ticket=a\r\n");
        REQUIRE(browser.receive().status == 200);
    }
    browser.get("/", "Cookie: ticket=a\r\n");
    const auto refused = browser.receive();
    CHECK(refused.status == 429);
    CHECK(refused.fields.at("retry-after") == "3");
    CHECK(refused.fields.at("connection") == "keep-alive");
    browser.get("/", "Cookie: ticket=b\r\n");
    CHECK(browser.receive().status == (of == "ticket" ? 200 : 429));
    const auto counts = served.server.counts().refused;
    CHECK(counts.requests_per_ticket == (of == "ticket" ? 1 : 0));
    CHECK(counts.requests_per_client == (of == "client" ? 2 : 0));
    CHECK(counts.requests == (of == "all" ? 2 : 0));
}

TEST_CASE("a service that throws gives a 500 without its words, which are for the log", "[server]") {
    Served served;
    WebClient browser = served.client();
    browser.get("/broken");
    const auto response = browser.receive();
    CHECK(response.status == 500);
    CHECK(response.text.find("secret") == std::string::npos);
    browser.get("/no-response");
    const auto split = browser.receive();
    CHECK(split.status == 500);
    CHECK(split.text.find("X-Split") == std::string::npos);
    browser.get("/");
    CHECK(browser.receive().status == 200);
    CHECK(served.server.counts().faults == 2);
    const std::lock_guard lock(served.mutex);
    REQUIRE(served.faults.size() == 2);
    CHECK(served.faults[0] == "the secret inside of the program");
}

TEST_CASE("200 clients at once are all served, and their connections given back", "[server]") {
    Served served;
    {
        std::vector<WebClient> browsers;
        for (int i = 0; i < 200; ++i) {
            browsers.push_back(served.client());
        }
        for (int round = 0; round < 5; ++round) {
            for (auto& browser : browsers) {
                browser.post("/answer", "{\"scene\":1,\"choice\":0}");
            }
            for (auto& browser : browsers) {
                REQUIRE(browser.receive().status == 204);
            }
        }
        CHECK(served.server.counts().connections == 200);
    }
    CHECK(comes_true([&] { return served.server.counts().connections == 0; }));
    CHECK(served.server.counts().requests == 1000);
}

TEST_CASE("limits that allow nothing are a fault of the program", "[server]") {
    StubService service;
    WebLimits limits;
    limits.requests.at_once = 0.5;
    CHECK_THROWS_AS(WebServer({}, limits, service), std::logic_error);
    limits = {};
    limits.heartbeat_s = std::nan("");
    CHECK_THROWS_AS(WebServer({}, limits, service), std::logic_error);
}
