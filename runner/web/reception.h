#pragma once
// What becomes of each request: counted, held to the limits and rules, answered by the service. No socket;
// the time is handed in.

#include <ctime>
#include <functional>
#include <optional>
#include <string>
#include <unordered_map>
#include <variant>

#include "runner/web/request_rules.h"
#include "runner/web/token_buckets.h"
#include "runner/web/web_limits.h"
#include "runner/web/web_request.h"

namespace isoseam {

// Where a connection comes from and came in.
struct WebEnds {
    std::string client;         // address of the other side
    std::string limited_as;     // key of its limits: the address, or an IPv6 network
    std::string local_address;  // of this machine
};

// What a connection has to send, and what then.
struct Reply {
    std::string text;
    bool keep_alive = false;
    std::optional<WebStream> stream;  // `text` begins it; it is open from now on
    std::string ticket;               // of the stream
};

class Reception {
  public:
    Reception(const WebLimits& limits, ServedNames served, WebService& service, WebCounts& counts,
              std::function<void(const std::string&)> on_fault);

    Reply reply(const std::variant<SentRequest, Refusal>& outcome, const WebEnds& ends, WebTime now,
                std::time_t date);
    // A refusal without a request.
    std::string refuse(const Refusal& refusal, std::time_t date);
    // Once for each Reply with a stream.
    void stream_closed(const std::string& channel, const std::string& ticket);
    // Every few seconds: gives memory back.
    void tidy(WebTime now);

  private:
    Reply answer(const SentRequest& sent, const WebRequest& request, std::time_t date);
    Reply refusal(const Refusal& refusal, const SentRequest* sent, std::time_t date);
    Reply open_stream(WebStream stream, const SentRequest& sent, const std::string& ticket, std::time_t date);
    std::optional<Refusal> over_rate(const std::string& client, const std::string& ticket, WebTime now);
    void fault(const std::string& text);

    WebLimits limits_;
    ServedNames served_;
    WebService& service_;
    WebCounts& counts_;
    std::function<void(const std::string&)> on_fault_;
    TokenBuckets requests_;
    TokenBuckets client_requests_;
    TokenBuckets ticket_requests_;
    std::unordered_map<std::string, int> streams_of_ticket_;
    int streams_opened_ = 0;
};

}  // namespace isoseam
