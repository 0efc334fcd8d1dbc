// Random requests from a fixed seed; tests/fuzz/ runs as many as there is time for.
#include "runner/web/reception.h"

#include <algorithm>
#include <catch2/catch.hpp>

#include "fuzz/request_fuzz.h"
#include "runner/web/stub_service.h"

using namespace isoseam;
using namespace isoseam::test;

TEST_CASE("random and broken requests keep every promise, in pieces and in one", "[reception]") {
    constexpr std::uint64_t kSeed = 20261126;
    int answered = 0;
    int refused = 0;
    for (std::uint64_t number = 0; number < 3000; ++number) {
        const std::string bytes = random_requests(kSeed, number);
        const FuzzOutcome outcome = fuzz_requests(bytes, kSeed, number);
        CAPTURE(number, bytes);
        REQUIRE(outcome.wrong == "");
        answered += outcome.answered;
        refused += outcome.refused;
    }
    // Neither all refused at the door nor all let in: the grammar tries both.
    CHECK(answered > 500);
    CHECK(refused > 500);
}

TEST_CASE("a refused request costs nobody else's allowance", "[reception]") {
    WebLimits limits;
    limits.requests = {1.0, 10.0};
    limits.requests_per_client = {1.0, 10.0};
    limits.requests_per_ticket = {1.0, 2.0};
    StubService service;
    WebCounts counts;
    Reception reception(limits, {80, {}}, service, counts, {});
    const auto status = [&](const std::string& client, const std::string& ticket) {
        SentRequest sent;
        sent.method = "GET";
        sent.target = "/";
        sent.fields = {{"host", "localhost"}, {"cookie", "ticket=" + ticket}};
        return reception.reply(sent, {client, client, "127.0.0.1"}, WebTime{}, 0).text.substr(9, 3);
    };
    // One browser gone wild among others behind the same router.
    for (int i = 0; i < 100; ++i) {
        CHECK(status("router", "wild") == (i < 2 ? "200" : "429"));
    }
    for (const char* ticket : {"a", "b", "c", "d"}) {
        CHECK(status("router", ticket) == "200");
        CHECK(status("router", ticket) == "200");
    }
    // Ten are gone: neither the router nor anybody else has one left, whatever ticket is invented.
    CHECK(status("router", "e") == "429");
    CHECK(status("elsewhere", "f") == "429");
    CHECK(counts.refused.requests_per_ticket == 98);
    CHECK(counts.refused.requests_per_client == 1);
    CHECK(counts.refused.requests == 1);
}

TEST_CASE("streams come back spread over seconds after the network broke", "[reception]") {
    StubService service;
    WebCounts counts;
    Reception reception({}, {80, {}}, service, counts, {});
    SentRequest sent;
    sent.method = "GET";
    sent.target = "/events";
    sent.fields = {{"host", "localhost"}};
    std::vector<int> times_ms;
    for (int i = 0; i < 100; ++i) {
        const Reply reply = reception.reply(sent, {"a", "a", "127.0.0.1"}, WebTime{}, 0);
        const std::size_t retry = reply.text.find("retry: ");
        REQUIRE(retry != std::string::npos);
        times_ms.push_back(std::stoi(reply.text.substr(retry + 7)));
    }
    std::sort(times_ms.begin(), times_ms.end());
    CHECK(times_ms.front() >= 1000);
    CHECK(times_ms.back() < 3000);
    for (std::size_t i = 1; i < times_ms.size(); ++i) {
        CHECK(times_ms[i] - times_ms[i - 1] < 100);  // 20 ms apart were it perfectly even
    }
}
