#pragma once
// What the web server allows, and how often it has refused something.

#include <cstddef>
#include <cstdint>

namespace isoseam {

// A rate of a token bucket: `per_s` in the long run, and `at_once` after a rest.
struct WebRate {
    double per_s = 0.0;
    double at_once = 0.0;
};

// The defaults are meant for a class of 1,000 people. Their telephones may all share one address, as behind a
// router. Each telephone holds an event stream and another connection, and opens up to six while it loads the
// page. All may load the page within the same few seconds. All may move a slider at the same time, which
// sends up to five answers a second each.
struct WebLimits {
    int connections = 7000;
    // Fewer than all, so that one address cannot shut all others out.
    int connections_per_client = 6000;
    int streams = 2000;
    int streams_per_ticket = 6;
    WebRate requests{6000.0, 15000.0};
    WebRate requests_per_client{5000.0, 12000.0};  // an IPv6 client is its network of 64 bits
    WebRate requests_per_ticket{10.0, 60.0};
    std::size_t header_bytes = 8192;  // the first line and the header fields; at least 256
    std::size_t body_bytes = 4096;
    double request_s = 10.0;   // from a request's first byte to its last
    double response_s = 20.0;  // how long a reader may take for a response, or for one event
    double idle_s = 20.0;      // between requests, and before the first one
    // Takes the place of idle_s while more than half of all places, or of the client's places, are taken.
    double idle_short_s = 2.0;
    // The longest time without an event in a stream; then a comment keeps the stream open.
    double heartbeat_s = 15.0;
};

// How often each limit or rule refused something since the server began.
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
    // What was sent is not HTTP, or not the part of it that is understood here.
    std::uint64_t malformed = 0;
    std::uint64_t wrong_host = 0;  // the Host field is not a name of this server
    std::uint64_t other_site = 0;  // a page of another site made a POST
};

struct WebCounts {
    std::uint64_t requests = 0;  // refused requests are counted too
    // Events written to streams; those that a slow reader skipped are not counted.
    std::uint64_t events = 0;
    int connections = 0;  // now
    int streams = 0;      // now
    int most_connections = 0;
    int most_streams = 0;
    std::uint64_t faults = 0;  // exceptions that the service threw
    WebRefusals refused;
};

}  // namespace isoseam
