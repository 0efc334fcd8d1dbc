#pragma once
// Writes what goes over the wire: responses with their headers, and the chunks of an event stream.

#include <ctime>
#include <string>
#include <string_view>

#include "runner/web/request_reader.h"
#include "runner/web/web_request.h"

namespace isoseam {

// How a response is sent.
struct ResponseManner {
    bool head_only = false;   // the response answers a HEAD request
    bool keep_alive = false;  // whether the connection stays open
    std::time_t now = 0;
};

// Throws std::logic_error for a malformed response: a status outside 200 to 599, a line break in a header, a
// ticket that is no cookie value, a body without a type, or a body with a status that has none.
std::string response_text(const WebResponse& response, const ResponseManner& manner);

// The body is such as {"error":"not_found"}; each status has one fixed text.
std::string refusal_text(const Refusal& refusal, const ResponseManner& manner);

// The header fields of an event stream (HTTP/1.1, chunked).
std::string stream_head(const ResponseManner& manner);
// Writes the event as one chunk, with "data: " before each of its lines (HTML Standard, "Server-sent
// events").
std::string event_chunk(std::string_view event);
// Tells a browser how long it should wait before it comes back after a stream has broken.
std::string retry_chunk(int retry_ms);
// Writes a comment, which browsers pass over.
std::string heartbeat_chunk();
std::string last_chunk();

}  // namespace isoseam
