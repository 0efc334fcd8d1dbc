// RFC 9112 (HTTP/1.1 messages) and RFC 9110 (its meaning) are what the reader is held to; sections stand
// beside each check.
#include "runner/web/request_reader.h"

#include <catch2/catch.hpp>

using namespace isoseam;

namespace {

// What became of each request in `bytes`: "GET /path body", or the refusal's status; "more" at the end.
std::vector<std::string> outcomes(const std::string& bytes, std::size_t piece = std::string::npos) {
    RequestReader reader(1024, 64);
    std::vector<std::string> seen;
    for (std::size_t from = 0; from < bytes.size(); from += std::min(piece, bytes.size())) {
        reader.take(std::string_view(bytes).substr(from, piece));
        while (true) {
            const auto next = reader.next();
            if (const auto* sent = std::get_if<SentRequest>(&next)) {
                seen.push_back(sent->method + " " + sent->target + " " + sent->body);
            } else if (const auto* refusal = std::get_if<Refusal>(&next)) {
                seen.push_back(std::to_string(refusal->status));
                return seen;
            } else {
                break;
            }
        }
    }
    seen.emplace_back("more");
    return seen;
}

using Seen = std::vector<std::string>;
const std::string kHost = "Host: a\r\n";

}  // namespace

TEST_CASE("requests are cut at the same places however their bytes are split", "[reader]") {
    const std::string bytes = "GET /a HTTP/1.1\r\n" + kHost + "\r\n\r\n\r\nPOST /b HTTP/1.1\r\n" + kHost +
                              "Content-Length: 5\r\n\r\nhelloGET /c HTTP/1.1\r\n" + kHost + "\r\nGET /d HT";
    const Seen expected{"GET /a ", "POST /b hello", "GET /c ", "more"};
    for (std::size_t piece = 1; piece <= bytes.size(); ++piece) {
        CAPTURE(piece);
        CHECK(outcomes(bytes, piece) == expected);
    }
}

TEST_CASE("a request's fields and version are told", "[reader]") {
    RequestReader reader(1024, 64);
    reader.take(
        "GET / HTTP/1.1\r\nHOST: a \r\nX: 1\r\nx: 2\r\nConnection: close\r\n\r\nGET / HTTP/1.0\r\nHost: "
        "a\r\n\r\n");
    const auto first = std::get<SentRequest>(reader.next());
    REQUIRE(first.field("host") != nullptr);
    CHECK(*first.field("host") == "a");
    CHECK(first.count("x") == 2);
    CHECK_FALSE(first.keep_alive);
    CHECK_FALSE(first.http_1_0);
    const auto second = std::get<SentRequest>(reader.next());
    CHECK(second.http_1_0);
    CHECK_FALSE(second.keep_alive);
    CHECK_FALSE(reader.within_request());
}

TEST_CASE("what is no HTTP, or passes one request off as two, is refused", "[reader]") {
    const auto refused = [](const std::string& bytes) { return outcomes(bytes, 1).back(); };
    const std::string post = "POST / HTTP/1.1\r\n" + kHost;
    CHECK(refused("GET / HTTP/2.0\r\n" + kHost + "\r\n") == "505");
    CHECK(refused("GET / HTTP/0.9\r\n\r\n") == "505");
    CHECK(refused("GET /\r\n\r\n") == "400");
    CHECK(refused("GET / HTTP/1.1\n" + kHost + "\n") == "400");          // bare LF: RFC 9112, 2.2
    CHECK(refused("\x16\x03\x01\x02") == "400");                         // TLS
    CHECK(refused("GET  / HTTP/1.1\r\n\r\n") == "400");                  // two blanks: 3
    CHECK(refused("GET / HTTP/1.1\r\nHost : a\r\n\r\n") == "400");       // blank before the colon: 5.1
    CHECK(refused("GET / HTTP/1.1\r\nHost: a\r\n b\r\n\r\n") == "400");  // line folding: 5.2
    CHECK(refused("GET / HTTP/1.1\r\nnothing\r\n\r\n") == "400");
    CHECK(refused("GET / HTTP/1.1\r\nX: a\x01\r\n\r\n") == "400");
    CHECK(refused(post + "Content-Length: 1\r\nContent-Length: 2\r\n\r\n") == "400");  // 6.3
    CHECK(refused(post + "Content-Length: 1\r\nContent-Length: 1\r\n\r\n") == "400");
    CHECK(refused(post + "Content-Length: -1\r\n\r\n") == "400");
    CHECK(refused(post + "Content-Length: 1x\r\n\r\n") == "400");
    CHECK(refused(post + "Content-Length: 99999999999999999999\r\n\r\n") == "400");
    CHECK(refused(post + "Content-Length: 1\r\nTransfer-Encoding: chunked\r\n\r\n") == "400");  // 6.1
    CHECK(refused(post + "Transfer-Encoding: chunked\r\n\r\n") == "411");
    CHECK(refused(post + "Transfer-Encoding: gzip\r\n\r\n") == "411");
}

TEST_CASE("header and body have their limits to the byte", "[reader]") {
    const auto header = [](std::size_t size) {
        const std::string head = "GET / HTTP/1.1\r\nHost: a\r\nX: ";
        return head + std::string(size - head.size() - 4, 'x') + "\r\n\r\n";
    };
    for (const std::size_t piece : {std::size_t{1}, std::size_t{700}, std::string::npos}) {
        CAPTURE(piece);
        CHECK(outcomes(header(1024), piece) == Seen{"GET / ", "more"});
        CHECK(outcomes(header(1025), piece) == Seen{"431"});
        CHECK(
            outcomes("POST / HTTP/1.1\r\nContent-Length: 64\r\n\r\n" + std::string(64, 'b'), piece).front() ==
            "POST / " + std::string(64, 'b'));
        CHECK(outcomes("POST / HTTP/1.1\r\nContent-Length: 65\r\n\r\n", piece) == Seen{"413"});
    }
    CHECK(outcomes("GET /" + std::string(5000, 'a'), 100) == Seen{"431"});
}
