#pragma once
// Bytes of a connection, cut into requests. No socket and no clock: the same bytes give the same requests
// however they are split.

#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "runner/web/web_limits.h"

namespace isoseam {

// A well-formed HTTP request as it was sent.
struct SentRequest {
    std::string method;
    std::string target;
    bool http_1_0 = false;
    bool keep_alive = true;
    std::vector<std::pair<std::string, std::string>> fields;  // names in small letters, in their order
    std::string body;

    // The value of the first field of this name; nullptr when there is none. How many there are:
    const std::string* field(std::string_view name) const;
    int count(std::string_view name) const;
};

// What gets no answer from the service, by its HTTP status; `counted` is the counter that it belongs to.
struct Refusal {
    int status = 400;
    std::uint64_t WebRefusals::*counted = nullptr;
    double retry_after_s = 0.0;  // 0: not said
    std::string allow;           // of a 405
};

class RequestReader {
  public:
    RequestReader(std::size_t header_bytes, std::size_t body_bytes);

    void take(std::string_view bytes);

    // Whether a part of a request has come.
    bool within_request() const { return !buffer_.empty(); }
    struct NeedMore {};
    // The next request, and the reader goes on with the bytes after it; after a Refusal nothing can be
    // understood any more, and the connection must end.
    std::variant<NeedMore, SentRequest, Refusal> next();

  private:
    std::variant<NeedMore, SentRequest, Refusal> parse(std::size_t header_end);

    std::size_t header_bytes_;
    std::size_t body_bytes_;
    std::string buffer_;
};

}  // namespace isoseam
