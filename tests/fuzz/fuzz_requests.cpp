// Random requests for so many seconds:
//   ./dev build asan fuzz_requests && build/asan/tests/fuzz_requests SECONDS [SEED]
// Ends with 1 at the first thing that does not hold, and says from which seed and number it came.
#include <fmt/format.h>

#include <chrono>
#include <cstdlib>

#include "fuzz/request_fuzz.h"

int main(int count, char** words) {
    const double seconds = count > 1 ? std::atof(words[1]) : 10.0;
    const std::uint64_t seed = count > 2 ? std::strtoull(words[2], nullptr, 10) : 1;
    const auto begin = std::chrono::steady_clock::now();
    std::uint64_t number = 0;
    long answered = 0;
    long refused = 0;
    while (std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count() < seconds) {
        const std::string bytes = isoseam::test::random_requests(seed, number);
        const auto outcome = isoseam::test::fuzz_requests(bytes, seed, number);
        if (!outcome.wrong.empty()) {
            fmt::print("seed {}, number {}: {}\n{}\n", seed, number, outcome.wrong, bytes);
            return 1;
        }
        answered += outcome.answered;
        refused += outcome.refused;
        ++number;
    }
    fmt::print("{} connections: {} requests answered, {} refused, nothing wrong (seed {})\n", number,
               answered, refused, seed);
    return 0;
}
