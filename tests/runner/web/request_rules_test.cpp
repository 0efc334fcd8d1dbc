#include "runner/web/request_rules.h"

#include <catch2/catch.hpp>

using namespace isoseam;

namespace {

SentRequest sent(const std::string& method, const std::string& target,
                 std::vector<std::pair<std::string, std::string>> fields = {}, const std::string& body = {}) {
    SentRequest request;
    request.method = method;
    request.target = target;
    request.fields = std::move(fields);
    request.fields.emplace_back("host", "192.168.1.4:8080");
    request.body = body;
    return request;
}

int status(const SentRequest& request) {
    const auto checked = checked_request(request, {8080, {}}, "192.168.1.4", "client");
    const auto* refusal = std::get_if<Refusal>(&checked);
    return refusal == nullptr ? 200 : refusal->status;
}

int post_status(std::vector<std::pair<std::string, std::string>> fields) {
    fields.emplace_back("content-length", "2");
    return status(sent("POST", "/answer", std::move(fields), "{}"));
}

}  // namespace

TEST_CASE("the server answers to its own names only", "[rules]") {
    const ServedNames served{8080, {"Class.example.org", "proxy.example.org:443"}};
    for (const char* host : {"192.168.1.4:8080", "localhost:8080", "LOCALHOST:8080", "127.0.0.1:8080",
                             "[::1]:8080", "class.example.org:8080", "proxy.example.org:443"}) {
        CAPTURE(host);
        CHECK(served.holds(host, "192.168.1.4"));
    }
    for (const char* host : {"", "192.168.1.4", "192.168.1.4:80", "192.168.1.5:8080",
                             "other.example.org:8080", "localhost", "localhost:8080.example.org",
                             "localhost.example.org:8080", "proxy.example.org:8080", "class.example.org"}) {
        CAPTURE(host);
        CHECK_FALSE(served.holds(host, "192.168.1.4"));
    }
    // Browsers leave port 80 out.
    CHECK(ServedNames{80, {}}.holds("192.168.1.4", "192.168.1.4"));
    CHECK(ServedNames{80, {}}.holds("[2001:db8::1]", "2001:db8::1"));
}

TEST_CASE("the first broken rule of a request decides", "[rules]") {
    CHECK(status(sent("GET", "/")) == 200);
    CHECK(status(sent("HEAD", "/")) == 200);
    for (const char* method : {"PUT", "DELETE", "OPTIONS", "TRACE", "CONNECT", "PATCH", "get"}) {
        CHECK(status(sent(method, "/")) == 405);
    }
    CHECK(status(sent("GET", "/", {{"host", "192.168.1.4:8080"}})) == 400);  // two of them
    CHECK(status(SentRequest{"GET", "/", false, true, {}, {}}) == 400);      // none
    CHECK(status(SentRequest{"GET", "/", false, true, {{"host", "elsewhere:8080"}}, {}}) == 421);
    CHECK(status(sent("GET", "/", {{"expect", "100-continue"}})) == 417);
    CHECK(status(sent("GET", "/", {{"content-length", "1"}}, "x")) == 400);
}

TEST_CASE("a post is JSON, of known length and from our own pages", "[rules]") {
    const std::pair<std::string, std::string> json{"content-type", "application/json"};
    CHECK(post_status({json}) == 200);
    CHECK(post_status({{"content-type", "Application/JSON; charset=utf-8"}}) == 200);
    CHECK(status(sent("POST", "/answer", {json})) == 411);
    CHECK(post_status({}) == 415);
    CHECK(post_status({json, json}) == 415);
    // What a form of another site can send without asking first (Fetch Standard, "CORS-safelisted").
    for (const char* type : {"text/plain", "application/x-www-form-urlencoded", "multipart/form-data",
                             "text/plain; application/json", "application/jsonp"}) {
        CHECK(post_status({{"content-type", type}}) == 415);
    }
    CHECK(post_status({json, {"origin", "http://192.168.1.4:8080"}}) == 200);
    CHECK(post_status({json, {"sec-fetch-site", "same-origin"}}) == 200);
    for (const char* origin : {"null", "http://192.168.1.4", "http://192.168.1.4:8081", "http://evil.example",
                               "http://192.168.1.4:8080.evil.example", ""}) {
        CAPTURE(origin);
        CHECK(post_status({json, {"origin", origin}}) == 403);
    }
    CHECK(post_status({json, {"sec-fetch-site", "cross-site"}}) == 403);
    CHECK(post_status({json, {"sec-fetch-site", "same-site"}}) == 403);
}

TEST_CASE("only plain paths reach the service", "[rules]") {
    CHECK(plain_path("/"));
    CHECK(plain_path("/desk/aZ09_-/events"));
    CHECK(plain_path("/class.js"));
    for (const char* target :
         {"/..", "/../etc/passwd", "/a..b", "//", "/a//b", "/%2e%2e/", "/a b", "/\\", "/~", "*", "class.js",
          "http://192.168.1.4:8080/", "/a;b", "/a:b", "/\xc3\xa4", ""}) {
        CAPTURE(target);
        CHECK(status(sent("GET", target)) == 404);
    }
}

TEST_CASE("queries are decoded, or refused", "[rules]") {
    using Query = std::map<std::string, std::string>;
    CHECK(decoded_query("") == Query{});
    CHECK(decoded_query("room=K7QX2P&language=de") == Query{{"room", "K7QX2P"}, {"language", "de"}});
    CHECK(decoded_query("a=%C3%A4+b%2Bc%3d%26") == Query{{"a", "\xc3\xa4 b+c=&"}});
    CHECK(decoded_query("a&b=") == Query{{"a", ""}, {"b", ""}});
    CHECK(decoded_query("a=1=2") == Query{{"a", "1=2"}});
    for (const char* query :
         {"a=%", "a=%4", "a=%zz", "a=%00", "a=%0a", "a=%7F", "a=1&a=2", "a=\xc3", "a=1#b"}) {
        CAPTURE(query);
        CHECK_FALSE(decoded_query(query).has_value());
    }
    CHECK(status(sent("GET", "/?a=%0d%0aSet-Cookie:x")) == 400);
    const auto checked = checked_request(sent("HEAD", "/join?room=A"), {8080, {}}, "192.168.1.4", "someone");
    const auto& request = std::get<WebRequest>(checked);
    CHECK(request.method == "GET");
    CHECK(request.path == "/join");
    CHECK(request.query.at("room") == "A");
    CHECK(request.client == "someone");
}

TEST_CASE("a ticket is one cookie of plain letters", "[rules]") {
    const auto ticket = [](std::vector<std::string> cookies) {
        SentRequest request;
        for (auto& cookie : cookies) {
            request.fields.emplace_back("cookie", std::move(cookie));
        }
        return ticket_of(request);
    };
    CHECK(ticket({"ticket=aZ0_-"}) == "aZ0_-");
    CHECK(ticket({"other=1; ticket=abc; third=3"}) == "abc");
    CHECK(ticket({"other=1", "ticket=abc"}) == "abc");
    CHECK(ticket({}).empty());
    CHECK(ticket({"xticket=abc"}).empty());
    CHECK(ticket({"ticket="}).empty());
    CHECK(ticket({"ticket=a b"}).empty());
    CHECK(ticket({"ticket=\"abc\""}).empty());
    CHECK(ticket({"ticket=" + std::string(64, 'a')}).size() == 64);
    CHECK(ticket({"ticket=" + std::string(65, 'a')}).empty());
    CHECK(ticket({"ticket=abc; ticket=abd"}).empty());  // which of the two?
}
