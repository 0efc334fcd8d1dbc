#include "base/random.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <map>
#include <set>

using namespace isoseam;

namespace {

constexpr RandomStream kStream{.seed = 20240611, .stream = kStreamTrialOrder};

// Chance of a false alarm of each statistical check below, were the seeds not fixed: 1 in a million (4.9
// standard errors).
constexpr double kStandardErrors = 4.9;

}  // namespace

TEST_CASE("Philox gives the known answers of its publication") {
    // From memory of the publication's known-answer file.
    using Words = std::array<std::uint32_t, 4>;
    CHECK(philox4x32_10({0, 0, 0, 0}, {0, 0}) == Words{0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8});
    constexpr std::uint32_t kOnes = 0xffffffff;
    CHECK(philox4x32_10({kOnes, kOnes, kOnes, kOnes}, {kOnes, kOnes}) ==
          Words{0x408f276d, 0x41c83b0e, 0xa20bc7c6, 0x6d5451fd});
    CHECK(philox4x32_10({0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344}, {0xa4093822, 0x299f31d0}) ==
          Words{0xd16cfe09, 0x94fdcceb, 0x5001e420, 0x24126ea1});
}

TEST_CASE("a draw depends on seed, stream and index, and on nothing else") {
    CHECK(kStream.bits(7) == RandomStream{kStream}.bits(7));
    std::set<std::uint64_t> drawn;
    for (const std::uint64_t seed : {1ULL, 2ULL, 1ULL << 40U}) {
        for (const std::uint32_t stream : {1U, 2U}) {
            for (const std::uint64_t index : {0ULL, 1ULL, 1ULL << 33U}) {
                drawn.insert(RandomStream{.seed = seed, .stream = stream}.bits(index));
            }
        }
    }
    CHECK(drawn.size() == 18);
}

TEST_CASE("the streams stay as they are: sessions must replay") {
    CHECK(RandomStream{.seed = 0, .stream = 0}.bits(0) == 0xe169c58d6627e8d5ULL);
    CHECK(shuffled_order({.seed = 1, .stream = kStreamTrialOrder}, 8) ==
          std::vector<int>{0, 3, 4, 2, 1, 6, 7, 5});
    CHECK(RandomStream{.seed = 1, .stream = kStreamStartingPoints}.uniform(3) ==
          Approx(0.39939876270185237).epsilon(1e-15));
    CHECK(RandomStream{.seed = 1, .stream = kStreamSimulatedSetting}.normal(3) ==
          Approx(0.2706683711592609).epsilon(1e-12));
}

TEST_CASE("uniform and normal draws have their distributions' moments") {
    constexpr int kDraws = 20000;
    double uniform_sum = 0.0;
    double normal_sum = 0.0;
    double normal_squares = 0.0;
    for (std::uint64_t i = 0; i < kDraws; ++i) {
        const double uniform = kStream.uniform(i);
        REQUIRE((uniform >= 0.0 && uniform < 1.0));
        const double normal = kStream.normal(i);
        uniform_sum += uniform;
        normal_sum += normal;
        normal_squares += normal * normal;
    }
    CHECK(std::abs(uniform_sum / kDraws - 0.5) < kStandardErrors * std::sqrt(1.0 / 12.0 / kDraws));
    CHECK(std::abs(normal_sum / kDraws) < kStandardErrors * std::sqrt(1.0 / kDraws));
    CHECK(std::abs(normal_squares / kDraws - 1.0) < kStandardErrors * std::sqrt(2.0 / kDraws));
}

TEST_CASE("below() gives each number alike, also where the bound is near 2^64") {
    constexpr int kDraws = 6000;
    std::map<std::uint64_t, int> counts;
    for (std::uint64_t i = 0; i < kDraws; ++i) {
        ++counts[kStream.below(i, 6)];
    }
    CHECK(counts.size() == 6);
    for (const auto& [number, count] : counts) {
        CHECK(std::abs(count - kDraws / 6.0) < kStandardErrors * std::sqrt(kDraws * 5.0 / 36.0));
    }
    // Of 3/4 of all 64-bit numbers, two thirds lie below half of them; without rejection it would be three
    // quarters.
    constexpr std::uint64_t kBound = 3ULL << 62U;
    int low = 0;
    for (std::uint64_t i = 0; i < kDraws; ++i) {
        const std::uint64_t drawn = kStream.below(i, kBound);
        REQUIRE(drawn < kBound);
        low += drawn < (1ULL << 63U) ? 1 : 0;
    }
    CHECK(std::abs(low - kDraws * 2.0 / 3.0) < kStandardErrors * std::sqrt(kDraws * 2.0 / 9.0));
    CHECK(kStream.below(3, 1) == 0);
    CHECK_THROWS_AS(kStream.below(3, 0), std::logic_error);
}

TEST_CASE("a shuffle is a permutation, and each permutation is as likely") {
    std::vector<int> order = shuffled_order(kStream, 100);
    std::sort(order.begin(), order.end());
    for (int i = 0; i < 100; ++i) {
        CHECK(order[static_cast<std::size_t>(i)] == i);
    }
    CHECK(shuffled_order(kStream, 0).empty());

    constexpr int kShuffles = 6000;
    std::map<std::vector<int>, int> counts;
    for (std::uint64_t seed = 0; seed < kShuffles; ++seed) {
        ++counts[shuffled_order({.seed = seed, .stream = kStreamTrialOrder}, 3)];
    }
    CHECK(counts.size() == 6);
    for (const auto& [permutation, count] : counts) {
        CHECK(std::abs(count - kShuffles / 6.0) < kStandardErrors * std::sqrt(kShuffles * 5.0 / 36.0));
    }
}
