#pragma once
// What goes over the wire: responses with their headers, and the chunks of an event stream.

#include <ctime>
#include <string>
#include <string_view>

#include "runner/web/request_reader.h"
#include "runner/web/web_request.h"

namespace isoseam {

// How a response is sent.
struct ResponseManner {
    bool head_only = false;   // to HEAD
    bool keep_alive = false;  // whether the connection stays open
    std::time_t now = 0;
};

// std::logic_error for a response that is none: a status outside 200 to 599, a line break in a header, a
// ticket that is no cookie value, a body without a type or with a status that has none.
std::string response_text(const WebResponse& response, const ResponseManner& manner);

// {"error":"not_found"}: one fixed text for each status.
std::string refusal_text(const Refusal& refusal, const ResponseManner& manner);

// Header fields of an event stream (HTTP/1.1, chunked).
std::string stream_head(const ResponseManner& manner);
// "data: ..." line by line, as one chunk. HTML Standard, "Server-sent events".
std::string event_chunk(std::string_view event);
// How long a browser waits until it comes back after a stream has broken.
std::string retry_chunk(int retry_ms);
// A comment, which browsers pass over.
std::string heartbeat_chunk();
std::string last_chunk();

}  // namespace isoseam
