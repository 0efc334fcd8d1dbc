#include "stimuli/blue_noise.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <numeric>

using namespace isoseam;

namespace {

constexpr int kSize = static_cast<int>(kBlueNoiseSize);

// Power of the pattern of pixels below `share` at one frequency, in units of what white noise has there.
double relative_power(double share, int x_cycles, int y_cycles) {
    const std::vector<std::uint16_t>& ranks = blue_noise_ranks();
    double real = 0.0;
    double imaginary = 0.0;
    for (int y = 0; y < kSize; ++y) {
        for (int x = 0; x < kSize; ++x) {
            if (ranks[static_cast<std::size_t>(y * kSize + x)] < share * kSize * kSize) {
                const double angle = 2.0 * std::numbers::pi * (x_cycles * x + y_cycles * y) / kSize;
                real += std::cos(angle);
                imaginary += std::sin(angle);
            }
        }
    }
    return (real * real + imaginary * imaginary) / (kSize * kSize * share * (1.0 - share));
}

}  // namespace

TEST_CASE("the tile of blue noise has each rank once, and is the same on every machine") {
    std::vector<std::uint16_t> ranks = blue_noise_ranks();
    std::uint64_t sum = 0;
    for (const std::uint16_t rank : ranks)
        sum = sum * 31 + rank;
    CHECK(sum == 0x26E3E15B2AAEA602);  // golden: an intended change of the tile changes this number
    std::sort(ranks.begin(), ranks.end());
    std::vector<std::uint16_t> all(4096);
    std::iota(all.begin(), all.end(), std::uint16_t{0});
    CHECK(ranks == all);
}

TEST_CASE("blue noise has hardly any of the coarse structure that white noise has") {
    const double share = GENERATE(0.05, 0.25, 0.5, 0.8);
    double coarse = 0.0;
    double fine = 0.0;
    int coarse_count = 0;
    int fine_count = 0;
    for (int y = -kSize / 2; y < kSize / 2; y += 2) {
        for (int x = -kSize / 2; x < kSize / 2; x += 2) {
            const double cycles = std::hypot(x, y);
            const double power = x == 0 && y == 0 ? 0.0 : relative_power(share, x, y);
            if (cycles > 0.0 && cycles <= 6.0) {
                coarse += power;
                ++coarse_count;
            } else if (cycles >= 20.0) {
                fine += power;
                ++fine_count;
            }
        }
    }
    CAPTURE(share, coarse / coarse_count, fine / fine_count);
    CHECK(coarse / coarse_count < 0.1);
    CHECK(fine / fine_count > 0.5);
}
