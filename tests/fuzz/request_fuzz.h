#pragma once
// Random requests, well-formed and broken, through the whole of the request handling but the sockets. What
// must hold of each stands in request_fuzz.cpp.

#include <cstdint>
#include <string>

namespace isoseam::test {

// Bytes that a connection might send: a few requests after a grammar, then broken at some places. The same
// seed and number give the same bytes.
std::string random_requests(std::uint64_t seed, std::uint64_t number);

struct FuzzOutcome {
    std::string wrong;  // "" or what did not hold
    int answered = 0;   // requests that reached the service
    int refused = 0;
};

// Reads `bytes` in random pieces and in one, answers each request, and holds all of it to what README.md
// promises.
FuzzOutcome fuzz_requests(const std::string& bytes, std::uint64_t seed, std::uint64_t number);

}  // namespace isoseam::test
