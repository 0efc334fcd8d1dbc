#include "runner/web/response_text.h"

#include <catch2/catch.hpp>

using namespace isoseam;

namespace {

// 1994-11-06 08:49:37 UTC, the example of RFC 9110, section 5.6.7.
constexpr std::time_t kExample = 784111777;

bool has_line(const std::string& text, const std::string& line) {
    return text.find("\r\n" + line + "\r\n") != std::string::npos;
}

}  // namespace

TEST_CASE("every response carries the headers that keep a page to itself", "[response]") {
    const ResponseManner manner{false, true, kExample};
    for (const std::string& text : {response_text({200, "text/html", "page", {}, {}}, manner),
                                    refusal_text({404, nullptr, 0.0, {}}, manner), stream_head(manner)}) {
        CAPTURE(text);
        CHECK(has_line(text, "Date: Sun, 06 Nov 1994 08:49:37 GMT"));
        // OWASP cheat sheet series, "HTTP Security Response Headers".
        CHECK(has_line(
            text,
            "Content-Security-Policy: default-src 'none'; script-src 'self'; style-src 'self'; img-src "
            "'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"));
        CHECK(has_line(text, "X-Content-Type-Options: nosniff"));
        CHECK(has_line(text, "X-Frame-Options: DENY"));
        CHECK(has_line(text, "Referrer-Policy: no-referrer"));
        CHECK(has_line(text, "Cross-Origin-Opener-Policy: same-origin"));
        CHECK(has_line(text, "Cross-Origin-Resource-Policy: same-origin"));
        CHECK(has_line(text, "Cache-Control: no-store"));
        CHECK(text.find("\r\nPermissions-Policy: camera=()") != std::string::npos);
        CHECK(text.find("Strict-Transport-Security") == std::string::npos);
        CHECK(text.find("Server:") == std::string::npos);
        CHECK(text.find("Set-Cookie") == std::string::npos);
        CHECK(has_line(text, "Connection: keep-alive"));
    }
}

TEST_CASE("a response says its length, its type and its ticket", "[response]") {
    const std::string text =
        response_text({200, "text/plain", "four", "aB-_9", {}}, {false, false, kExample});
    CHECK(text.starts_with("HTTP/1.1 200 OK\r\n"));
    CHECK(text.ends_with("\r\n\r\nfour"));
    CHECK(has_line(text, "Content-Length: 4"));
    CHECK(has_line(text, "Content-Type: text/plain"));
    CHECK(has_line(text, "Connection: close"));
    CHECK(has_line(text, "Set-Cookie: ticket=aB-_9; HttpOnly; SameSite=Strict; Path=/"));

    const std::string head = response_text({200, "text/plain", "four", {}, {}}, {true, true, kExample});
    CHECK(has_line(head, "Content-Length: 4"));
    CHECK(head.ends_with("\r\n\r\n"));
    // RFC 9110, section 8.6: no length with 204.
    CHECK(response_text({204, {}, {}, {}, {}}, {}).find("Content-Length") == std::string::npos);
    CHECK(has_line(response_text({405, {}, {}, {}, "POST"}, {}), "Allow: POST"));
}

TEST_CASE("a response that would split the header is a fault of the service", "[response]") {
    for (const WebResponse& response :
         {WebResponse{200, "text/plain\r\nX: y", "x", {}, {}},
          WebResponse{200, "text/plain", "x", "a; Path=/x", {}},
          WebResponse{200, "text/plain", "x", "a\r\nX: y", {}}, WebResponse{405, {}, {}, {}, "GET\n"},
          WebResponse{200, {}, "x", {}, {}}, WebResponse{204, "text/plain", "x", {}, {}},
          WebResponse{99, {}, {}, {}, {}}}) {
        CHECK_THROWS_AS(response_text(response, {}), std::logic_error);
    }
}

TEST_CASE("a refusal is a fixed text, with what the client needs to do better", "[response]") {
    const std::string slow = refusal_text({429, nullptr, 1.2, {}}, {});
    CHECK(slow.starts_with("HTTP/1.1 429 Too Many Requests\r\n"));
    CHECK(has_line(slow, "Retry-After: 2"));
    CHECK(slow.ends_with("\r\n\r\n{\"error\":\"too_many_requests\"}"));
    CHECK(has_line(refusal_text({405, nullptr, 0.0, "GET, HEAD, POST"}, {}), "Allow: GET, HEAD, POST"));
    // Every refusal that this folder gives has words of its own.
    for (const int status : {400, 403, 404, 405, 408, 411, 413, 415, 417, 421, 429, 431, 500, 503, 505}) {
        CHECK(refusal_text({status, nullptr, 0.0, {}}, {}).find(" Other\r\n") == std::string::npos);
    }
}

TEST_CASE("events are chunks of one event each, whatever stands in them", "[response]") {
    // HTML Standard, "Server-sent events": a line break ends a field, so each line is a field of its own.
    CHECK(event_chunk("{}") == "a\r\ndata: {}\n\n\r\n");
    CHECK(event_chunk("a\nb") == "11\r\ndata: a\ndata: b\n\n\r\n");
    CHECK(event_chunk("a\r\nb") == event_chunk("a\nb"));
    CHECK(event_chunk("a\rb") == event_chunk("a\nb"));
    CHECK(event_chunk("") == "8\r\ndata: \n\n\r\n");
    CHECK(event_chunk("a\n") == "10\r\ndata: a\ndata: \n\n\r\n");
    CHECK(retry_chunk(2000) == "d\r\nretry: 2000\n\n\r\n");
    CHECK(heartbeat_chunk() == "3\r\n:\n\n\r\n");
    CHECK(has_line(stream_head({}), "Content-Type: text/event-stream"));
    CHECK(stream_head({}).ends_with("Transfer-Encoding: chunked\r\n\r\n"));
}
