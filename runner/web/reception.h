#pragma once
// Decides what becomes of each request: it is counted, held to the limits and rules, and answered by the
// service. This class has no socket, and the caller hands in the time.

#include <ctime>
#include <optional>
#include <string>
#include <unordered_map>
#include <variant>

#include "runner/web/request_rules.h"
#include "runner/web/token_buckets.h"
#include "runner/web/web_limits.h"
#include "runner/web/web_request.h"

namespace isoseam {

// A client that finds all places taken should stay away for this time.
inline constexpr double kFullRetrySeconds = 5.0;

// The two ends of a connection.
struct WebEnds {
    std::string client;         // address of the other side
    std::string limited_as;     // the key of the client's limits: its address, or its IPv6 network
    std::string local_address;  // the address of this machine that the connection came in at
};

// What a connection has to send, and what it does afterwards.
struct Reply {
    std::string text;
    bool keep_alive = false;
    std::optional<WebStream> stream{};  // `text` begins this stream, which is open from now on
    std::string ticket{};               // the ticket of the stream
};

class Reception {
  public:
    Reception(const WebLimits& limits, ServedNames served, WebService& service, WebCounts& counts,
              HearFault on_fault);

    Reply reply(const std::variant<SentRequest, Refusal>& outcome, const WebEnds& ends, WebTime now,
                std::time_t date);
    // Makes the text of a refusal that answers no request.
    std::string refuse(const Refusal& refusal, std::time_t date);
    // Must be called once for each Reply with a stream.
    void stream_closed(const std::string& channel, const std::string& ticket);
    // Must be called every few seconds; gives memory back.
    void tidy(WebTime now);
    void fault(const std::string& text);  // counts and tells what was thrown

  private:
    Reply answer(const SentRequest& sent, const WebRequest& request, std::time_t date);
    Reply refusal(const Refusal& refusal, const SentRequest* sent, std::time_t date);
    Reply open_stream(WebStream stream, const SentRequest& sent, const std::string& ticket, std::time_t date);
    std::optional<Refusal> over_rate(const std::string& client, const std::string& ticket, WebTime now);
    // Lets the service work. Returns false where it throws, which is a fault.
    bool done(const std::function<void()>& work);

    WebLimits limits_;
    ServedNames served_;
    WebService& service_;
    WebCounts& counts_;
    HearFault on_fault_;
    TokenBuckets requests_;
    TokenBuckets client_requests_;
    TokenBuckets ticket_requests_;
    std::unordered_map<std::string, int> streams_of_ticket_;
    int streams_opened_ = 0;
};

}  // namespace isoseam
