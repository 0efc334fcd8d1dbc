#pragma once
// Cuts the bytes of a connection into requests. It uses no socket and no clock. The same bytes give the same
// requests, however they are split.

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
    // Names in small letters, in the order sent.
    std::vector<std::pair<std::string, std::string>> fields;
    std::string body;

    // field() gives the value of the first field of this name, or nullptr; count() says how many there are.
    const std::string* field(std::string_view name) const;
    int count(std::string_view name) const;
};

// A request that the service does not see. `status` is its HTTP status, and `counted` the counter that it
// adds to.
struct Refusal {
    int status = 400;
    std::uint64_t WebRefusals::*counted = nullptr;
    double retry_after_s = 0.0;  // 0: the refusal does not say it
    std::string allow{};         // the allowed methods, for a 405
};
inline const Refusal kMalformed{400, &WebRefusals::malformed};

// Names of fields and hosts are compared in small letters.
std::string small_letters(std::string_view text);

class RequestReader {
  public:
    RequestReader(std::size_t header_bytes, std::size_t body_bytes);

    void take(std::string_view bytes);

    // Whether a part of a request has come.
    bool within_request() const { return !buffer_.empty(); }
    struct NeedMore {};
    // Returns the next request; the reader then goes on with the bytes after it. After a Refusal the bytes
    // that follow cannot be understood any more, and the connection must end.
    std::variant<NeedMore, SentRequest, Refusal> next();

  private:
    std::variant<NeedMore, SentRequest, Refusal> parse(std::size_t header_end);

    std::size_t header_bytes_;
    std::size_t body_bytes_;
    std::string buffer_;
};

}  // namespace isoseam
