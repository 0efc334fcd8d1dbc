#include "runner/web/reception.h"

#include <algorithm>
#include <exception>
#include <utility>

#include "runner/web/response_text.h"

namespace isoseam {
namespace {

// When a lecture's network comes back, all streams have broken at one moment. They are asked to return at
// moments that are spread over this span.
constexpr int kRetryFromMs = 1000;
constexpr int kRetrySpanMs = 2000;
// Has no factor in common with the span, so that consecutive streams land far apart.
constexpr int kRetryStepMs = 619;

bool is_head(const SentRequest* sent) {
    return sent != nullptr && sent->method == "HEAD";
}

}  // namespace

Reception::Reception(const WebLimits& limits, ServedNames served, WebService& service, WebCounts& counts,
                     HearFault on_fault)
    : limits_(limits),
      served_(std::move(served)),
      service_(service),
      counts_(counts),
      on_fault_(std::move(on_fault)),
      requests_(limits.requests),
      client_requests_(limits.requests_per_client),
      ticket_requests_(limits.requests_per_ticket) {}

Reply Reception::reply(const std::variant<SentRequest, Refusal>& outcome, const WebEnds& ends, WebTime now,
                       std::time_t date) {
    ++counts_.requests;
    const SentRequest* sent = std::get_if<SentRequest>(&outcome);
    const std::string ticket = sent == nullptr ? std::string() : ticket_of(*sent);
    if (const auto over = over_rate(ends.limited_as, ticket, now)) {
        return refusal(*over, sent, date);
    }
    if (sent == nullptr) {
        return refusal(std::get<Refusal>(outcome), sent, date);
    }
    const auto checked = checked_request(*sent, served_, ends.local_address, ends.limited_as);
    if (const Refusal* broken = std::get_if<Refusal>(&checked)) {
        return refusal(*broken, sent, date);
    }
    return answer(*sent, std::get<WebRequest>(checked), date);
}

std::string Reception::refuse(const Refusal& refusal, std::time_t date) {
    return this->refusal(refusal, nullptr, date).text;
}

Reply Reception::refusal(const Refusal& refusal, const SentRequest* sent, std::time_t date) {
    if (refusal.counted != nullptr) {
        ++(counts_.refused.*refusal.counted);
    }
    const bool keep_alive = sent != nullptr && sent->keep_alive;
    return {refusal_text(refusal, {is_head(sent), keep_alive, date}), keep_alive};
}

// Looks at all three buckets before a token is taken from any of them, so that a refused request costs nobody
// else's allowance. So there are never more buckets than `requests` lets through in the time that one bucket
// takes to fill.
std::optional<Refusal> Reception::over_rate(const std::string& client, const std::string& ticket,
                                            WebTime now) {
    const double all_s = requests_.wait_s({}, now);
    const double client_s = client_requests_.wait_s(client, now);
    const double ticket_s = ticket.empty() ? 0.0 : ticket_requests_.wait_s(ticket, now);
    if (ticket_s > 0.0) {
        return Refusal{429, &WebRefusals::requests_per_ticket, ticket_s};
    }
    if (client_s > 0.0) {
        return Refusal{429, &WebRefusals::requests_per_client, client_s};
    }
    if (all_s > 0.0) {
        return Refusal{429, &WebRefusals::requests, all_s};
    }
    requests_.take({}, now);
    client_requests_.take(client, now);
    if (!ticket.empty()) {
        ticket_requests_.take(ticket, now);
    }
    return std::nullopt;
}

Reply Reception::answer(const SentRequest& sent, const WebRequest& request, std::time_t date) {
    Reply reply;
    const auto ask_service = [&] {
        WebAnswer answered = service_.answer(request);
        if (auto* stream = std::get_if<WebStream>(&answered)) {
            reply = open_stream(std::move(*stream), sent, request.ticket, date);
            return;
        }
        const auto& response = std::get<WebResponse>(answered);
        const bool keep_alive = sent.keep_alive && !response.ends_connection;
        reply = {response_text(response, {is_head(&sent), keep_alive, date}), keep_alive};
    };
    return done(ask_service) ? reply : refusal({500}, &sent, date);
}

Reply Reception::open_stream(WebStream stream, const SentRequest& sent, const std::string& ticket,
                             std::time_t date) {
    if (sent.http_1_0) {
        return refusal({505, &WebRefusals::malformed}, &sent, date);
    }
    if (is_head(&sent)) {
        return {stream_head({true, sent.keep_alive, date}), sent.keep_alive};
    }
    if (counts_.streams >= limits_.streams) {
        return refusal({503, &WebRefusals::streams, kFullRetrySeconds}, &sent, date);
    }
    const auto held = streams_of_ticket_.find(ticket);
    if (!ticket.empty() && held != streams_of_ticket_.end() && held->second >= limits_.streams_per_ticket) {
        return refusal({429, &WebRefusals::streams_per_ticket, kFullRetrySeconds}, &sent, date);
    }
    const int retry_ms = kRetryFromMs + streams_opened_ * kRetryStepMs % kRetrySpanMs;
    streams_opened_ = (streams_opened_ + 1) % kRetrySpanMs;
    std::string text = stream_head({false, false, date}) + retry_chunk(retry_ms) + event_chunk(stream.first);
    service_.stream_opened(stream.channel, ticket);
    ++counts_.streams;
    counts_.most_streams = std::max(counts_.most_streams, counts_.streams);
    ++counts_.events;
    if (!ticket.empty()) {
        ++streams_of_ticket_[ticket];
    }
    stream.first.clear();
    return {std::move(text), false, std::move(stream), ticket};
}

void Reception::stream_closed(const std::string& channel, const std::string& ticket) {
    --counts_.streams;
    const auto held = streams_of_ticket_.find(ticket);
    if (held != streams_of_ticket_.end() && --held->second == 0) {
        streams_of_ticket_.erase(held);
    }
    done([&] { service_.stream_closed(channel, ticket); });
}

void Reception::tidy(WebTime now) {
    client_requests_.forget_full(now);
    ticket_requests_.forget_full(now);
}

bool Reception::done(const std::function<void()>& work) {
    try {
        work();
        return true;
    } catch (const std::exception& error) {
        fault(error.what());
    } catch (...) {
        fault("not an exception of the standard library");
    }
    return false;
}

void Reception::fault(const std::string& text) {
    ++counts_.faults;
    if (on_fault_) {
        on_fault_(text);
    }
}

}  // namespace isoseam
