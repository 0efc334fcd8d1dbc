#include "runner/web/response_text.h"

#include <fmt/chrono.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "base/errors.h"
#include "runner/web/json_answers.h"
#include "runner/web/request_rules.h"

namespace isoseam {
namespace {

// These fields are those that the OWASP HTTP headers cheat sheet asks for. Strict-Transport-Security is left
// out, since there is no TLS here (README.md).
constexpr std::string_view kSafetyFields =
    "Content-Security-Policy: default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
    "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'\r\n"
    "X-Content-Type-Options: nosniff\r\n"
    "X-Frame-Options: DENY\r\n"
    "Referrer-Policy: no-referrer\r\n"
    "Cross-Origin-Opener-Policy: same-origin\r\n"
    "Cross-Origin-Resource-Policy: same-origin\r\n"
    "Permissions-Policy: camera=(), microphone=(), geolocation=(), accelerometer=(), gyroscope=(), usb=(), "
    "midi=(), payment=()\r\n"
    "Cache-Control: no-store\r\n";

struct StatusWords {
    std::string_view reason;  // RFC 9110, section 15; RFC 6585 for 429 and 431
    std::string_view error;
};

StatusWords status_words(int status) {
    static const std::map<int, StatusWords> words{
        {200, {"OK", ""}},
        {204, {"No Content", ""}},
        {400, {"Bad Request", "bad_request"}},
        {401, {"Unauthorized", "unauthorised"}},
        {403, {"Forbidden", "other_site"}},
        {404, {"Not Found", "not_found"}},
        {405, {"Method Not Allowed", "wrong_method"}},
        {408, {"Request Timeout", "too_slow"}},
        {409, {"Conflict", "conflict"}},
        {411, {"Length Required", "length_required"}},
        {413, {"Content Too Large", "body_too_large"}},
        {415, {"Unsupported Media Type", "not_json"}},
        {417, {"Expectation Failed", "expectation"}},
        {421, {"Misdirected Request", "wrong_host"}},
        {422, {"Unprocessable Content", "unprocessable"}},
        {429, {"Too Many Requests", "too_many_requests"}},
        {431, {"Request Header Fields Too Large", "header_too_large"}},
        {500, {"Internal Server Error", "fault"}},
        {503, {"Service Unavailable", "too_many"}},
        {505, {"HTTP Version Not Supported", "http_version"}},
    };
    const auto found = words.find(status);
    return found == words.end() ? StatusWords{"Other", "other"} : found->second;
}

std::string first_fields(int status, const ResponseManner& manner) {
    // The date is that of RFC 9110, section 5.6.7. fmt names its days and months in English in every locale.
    return fmt::format("HTTP/1.1 {} {}\r\nDate: {:%a, %d %b %Y %H:%M:%S} GMT\r\n{}Connection: {}\r\n", status,
                       status_words(status).reason, fmt::gmtime(manner.now), kSafetyFields,
                       manner.keep_alive ? "keep-alive" : "close");
}

bool one_line(std::string_view text) {
    return std::none_of(text.begin(), text.end(),
                        [](unsigned char letter) { return letter < 0x20 || letter == 0x7f; });
}

void check_response(const WebResponse& response) {
    ISOSEAM_CHECK_BETWEEN(response.status, 200, 599);
    ISOSEAM_CHECK(one_line(response.content_type) && one_line(response.allow));
    ISOSEAM_CHECK(response.set_ticket.empty() || plain_ticket(response.set_ticket));
    ISOSEAM_CHECK(response.body.empty() || !response.content_type.empty());
    ISOSEAM_CHECK(response.body.empty() || (response.status != 204 && response.status != 304));
}

std::string chunk(std::string_view text) {
    return fmt::format("{:x}\r\n{}\r\n", text.size(), text);
}

// `retry_after_s` says when to come again; 0: the response does not say it.
std::string written(const WebResponse& response, double retry_after_s, const ResponseManner& manner) {
    std::string text = first_fields(response.status, manner);
    if (!response.allow.empty()) {
        text += fmt::format("Allow: {}\r\n", response.allow);
    }
    if (retry_after_s > 0.0) {
        text += fmt::format("Retry-After: {:.0f}\r\n", std::ceil(retry_after_s));
    }
    if (!response.set_ticket.empty()) {
        text +=
            fmt::format("Set-Cookie: ticket={}; HttpOnly; SameSite=Strict; Path=/\r\n", response.set_ticket);
    }
    if (!response.content_type.empty()) {
        text += fmt::format("Content-Type: {}\r\n", response.content_type);
    }
    if (response.status != 204 && response.status != 304) {
        text += fmt::format("Content-Length: {}\r\n", response.body.size());
    }
    text += "\r\n";
    return manner.head_only ? text : text + response.body;
}

}  // namespace

std::string response_text(const WebResponse& response, const ResponseManner& manner) {
    check_response(response);
    return written(response, 0.0, manner);
}

std::string refusal_text(const Refusal& refusal, const ResponseManner& manner) {
    WebResponse response = error_response(refusal.status, status_words(refusal.status).error);
    response.allow = refusal.allow;
    return written(response, refusal.retry_after_s, manner);
}

std::string stream_head(const ResponseManner& manner) {
    std::string text = first_fields(200, manner);
    text += "Content-Type: text/event-stream\r\n";
    text += manner.head_only ? "\r\n" : "Transfer-Encoding: chunked\r\n\r\n";
    return text;
}

std::string event_chunk(std::string_view event) {
    std::string text;
    std::size_t from = 0;
    while (true) {
        // Each of \n, \r and \r\n ends a line of an event stream, so it may stand in no data line.
        const std::size_t end = event.find_first_of("\r\n", from);
        text += fmt::format("data: {}\n", event.substr(from, end - from));
        if (end == std::string_view::npos) {
            break;
        }
        from = end + (event.substr(end).starts_with("\r\n") ? 2U : 1U);
    }
    return chunk(text + "\n");
}

std::string retry_chunk(int retry_ms) {
    return chunk(fmt::format("retry: {}\n\n", retry_ms));
}

std::string heartbeat_chunk() {
    return chunk(":\n\n");
}

std::string last_chunk() {
    return "0\r\n\r\n";
}

}  // namespace isoseam
