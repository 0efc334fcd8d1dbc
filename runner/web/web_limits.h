#pragma once
// What the web server allows, and what it has refused.

#include <cstddef>
#include <cstdint>

namespace isoseam {

// So many a second in the long run, and so many at once after a rest (a token bucket).
struct WebRate {
    double per_s = 0.0;
    double at_once = 0.0;
};

// The defaults are for a class of 1,000 whose telephones may all share one address, as behind a router: each
// holds an event stream and another connection, and opens up to six while it loads the page; all load it
// within the same few seconds, and all move a slider at once, which sends up to five answers a second.
struct WebLimits {
    int connections = 7000;
    int connections_per_client = 6000;  // fewer than all, so that one address cannot shut all others out
    int streams = 2000;
    int streams_per_ticket = 6;
    WebRate requests{6000.0, 15000.0};
    WebRate requests_per_client{5000.0, 12000.0};  // an IPv6 client is its network of 64 bits
    WebRate requests_per_ticket{10.0, 60.0};
    std::size_t header_bytes = 8192;  // first line and header fields; at least 256
    std::size_t body_bytes = 4096;
    double request_s = 10.0;    // from a request's first byte to its last
    double response_s = 20.0;   // for a reader to take a response, or one event
    double idle_s = 20.0;       // between requests, and before the first
    double idle_short_s = 2.0;  // the same, while more than half of all places or of its client's are taken
    double heartbeat_s = 15.0;  // between a stream's events: a comment keeps it open
};

// Since the server began.
struct WebRefusals {
    std::uint64_t connections = 0;
    std::uint64_t connections_per_client = 0;
    std::uint64_t streams = 0;
    std::uint64_t streams_per_ticket = 0;
    std::uint64_t requests = 0;
    std::uint64_t requests_per_client = 0;
    std::uint64_t requests_per_ticket = 0;
    std::uint64_t header_bytes = 0;
    std::uint64_t body_bytes = 0;
    std::uint64_t slow_requests = 0;
    std::uint64_t slow_readers = 0;
    std::uint64_t malformed = 0;   // no HTTP, or not the HTTP that is understood here
    std::uint64_t wrong_host = 0;  // not a name of this server
    std::uint64_t other_site = 0;  // a POST that a page of another site made
};

struct WebCounts {
    std::uint64_t requests = 0;  // refused ones too
    std::uint64_t events = 0;    // written to streams; those that a slow reader skipped are not
    int connections = 0;         // now
    int streams = 0;             // now
    int most_connections = 0;
    int most_streams = 0;
    std::uint64_t faults = 0;  // exceptions of the service
    WebRefusals refused;
};

}  // namespace isoseam
