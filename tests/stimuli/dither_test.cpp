#include "stimuli/dither.h"

#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <set>
#include <vector>

#include "stimuli/tone_table.h"

using namespace isoseam;

namespace {

Dither noise(std::uint64_t key, std::uint64_t frame) {
    return {DitherKind::noise, key, frame};
}

// The chi-square that a sound generator exceeds once in a million tests (Wilson and Hilferty's approximation,
// from memory; the normal deviate of 1e-6 is 4.753).
double chi_square_limit(double degrees_of_freedom) {
    const double ninth = 2.0 / (9.0 * degrees_of_freedom);
    return degrees_of_freedom * std::pow(1.0 - ninth + 4.753 * std::sqrt(ninth), 3.0);
}

double chi_square(const std::vector<int>& counts, double expected) {
    double sum = 0.0;
    for (const int count : counts)
        sum += (count - expected) * (count - expected) / expected;
    return sum;
}

}  // namespace

TEST_CASE("noise is a function of key, frame, pixel and channel alone") {
    const auto at = [](std::uint64_t key, std::uint64_t frame, int column, int row) {
        return dither_thresholds(dither_seeds(noise(key, frame)), column, row);
    };
    CHECK(at(1, 2, 3, 4) == at(1, 2, 3, 4));
    CHECK(at(1, 2, 3, 4) != at(2, 2, 3, 4));
    CHECK(at(1, 2, 3, 4) != at(1, 3, 3, 4));
    CHECK(at(1, 2, 3, 4) != at(1, 2 + (std::uint64_t{1} << 32U), 3, 4));
    CHECK(at(1, 2, 3, 4) != at(1, 2, 4, 4));
    CHECK(at(1, 2, 3, 4) != at(1, 2, 3, 5));
    // Golden: a session's frames can be drawn again by a later version.
    CHECK(at(0, 0, 0, 0) == std::array<std::uint32_t, 3>{19592, 56496, 41878});
    CHECK(at(0x0123456789ABCDEF, 98765, 3839, 2159) == std::array<std::uint32_t, 3>{447, 63421, 5590});
}

TEST_CASE(
    "in each block of noise every 64th of the range has one threshold, in its squares every 16th and "
    "quarter") {
    for (std::uint64_t frame = 0; frame < 20; ++frame) {
        const DitherSeeds seeds = dither_seeds(noise(7, frame));
        const int left = 8 - static_cast<int>(seeds.shift_x[0]);
        const int top = 8 - static_cast<int>(seeds.shift_y[0]);
        for (const int side : {2, 4, 8}) {
            const std::size_t parts = static_cast<std::size_t>(side) * static_cast<std::size_t>(side);
            for (int block = 0; block < 64; ++block) {
                std::array<std::set<std::uint32_t>, 3> strata;
                for (int y = 0; y < side; ++y) {
                    for (int x = 0; x < side; ++x) {
                        const auto thresholds = dither_thresholds(seeds, left + side * (block % 8) + x,
                                                                  top + side * (block / 8) + y);
                        for (std::size_t channel = 0; channel < 3; ++channel)
                            strata[channel].insert(
                                static_cast<std::uint32_t>(thresholds[channel] * parts / 65536));
                    }
                }
                for (const auto& channel : strata)
                    REQUIRE(channel.size() == parts);
            }
        }
    }
}

// False alarm of all checks together: about once in 50,000 changes of the generator.
TEST_CASE(
    "over frames a pixel's threshold is uniform, and independent from frame to frame and of other channels") {
    constexpr int kFrames = 1 << 16;
    for (const auto& [column, row] : {std::pair(0, 0), std::pair(13, 7), std::pair(640, 400)}) {
        std::vector<int> levels(256), successive(256), channels(256), neighbours(256);
        std::uint32_t before = 0;
        for (int frame = 0; frame < kFrames; ++frame) {
            const DitherSeeds seeds = dither_seeds(noise(11, static_cast<std::uint64_t>(frame)));
            const auto here = dither_thresholds(seeds, column, row);
            const auto far = dither_thresholds(seeds, column + 8, row);
            ++levels[here[0] >> 8U];
            ++successive[before << 4U | here[0] >> 12U];
            ++channels[here[1] >> 12U << 4U | here[2] >> 12U];
            ++neighbours[far[0] >> 12U << 4U | here[0] >> 12U];
            before = here[0] >> 12U;
        }
        CHECK(chi_square(levels, kFrames / 256.0) < chi_square_limit(255.0));
        CHECK(chi_square(successive, kFrames / 256.0) < chi_square_limit(255.0));
        CHECK(chi_square(channels, kFrames / 256.0) < chi_square_limit(255.0));
        CHECK(chi_square(neighbours, kFrames / 256.0) < chi_square_limit(255.0));
    }
}

TEST_CASE("over the pixels of a frame the last bits are uniform too") {
    constexpr int kSide = 512;
    std::vector<int> jitter(1024);
    const DitherSeeds seeds = dither_seeds(noise(5, 5));
    for (int row = 0; row < kSide; ++row) {
        for (int column = 0; column < kSide; ++column)
            ++jitter[dither_thresholds(seeds, column, row)[2] & 1023U];
    }
    CHECK(chi_square(jitter, kSide * kSide / 1024.0) < chi_square_limit(1023.0));
}

namespace {

constexpr int kSide = 96;

// Whether each pixel of a patch gets the higher code.
std::vector<double> pattern(std::uint64_t frame, std::uint32_t share) {
    const DitherSeeds seeds = dither_seeds(noise(99, frame));
    std::vector<double> pixels;
    for (int row = 0; row < kSide; ++row) {
        for (int column = 0; column < kSide; ++column)
            pixels.push_back(share > dither_thresholds(seeds, 100 + column, 50 + row)[1] ? 1.0 : 0.0);
    }
    return pixels;
}

double covariance(const std::vector<double>& pixels, double mean, int right, int down) {
    double sum = 0.0;
    int count = 0;
    for (int row = 0; row + down < kSide; ++row) {
        for (int column = 0; column + right < kSide; ++column) {
            const auto at = static_cast<std::size_t>(row * kSide + column);
            const auto other = static_cast<std::size_t>((row + down) * kSide + column + right);
            sum += (pixels[at] - mean) * (pixels[other] - mean);
            ++count;
        }
    }
    return sum / count;
}

}  // namespace

TEST_CASE("the mean of 64 frames has no more structure than independent frames leave") {
    constexpr int kFrames = 64;
    const double share = GENERATE(0.11, 0.5, 0.83);
    const auto share_units = static_cast<std::uint32_t>(share * kWholeShare);
    const double variance = share * (1.0 - share);
    const std::vector<std::pair<int, int>> lags{{0, 0}, {1, 0}, {0, 1}, {1, 1}, {2, 0},
                                                {0, 3}, {8, 0}, {0, 8}, {8, 8}};
    std::vector<double> mean(kSide * kSide);
    std::vector<double> single(lags.size());
    for (std::uint64_t frame = 0; frame < kFrames; ++frame) {
        const std::vector<double> pixels = pattern(frame, share_units);
        for (std::size_t i = 0; i < mean.size(); ++i)
            mean[i] += pixels[i] / kFrames;
        for (std::size_t k = 0; k < lags.size(); ++k)
            single[k] += covariance(pixels, share, lags[k].first, lags[k].second) / kFrames;
    }
    // Covariances of the mean of independent frames are those of one frame, divided by their number. A mean
    // over 9,216 pixels scatters by about 1 / 96 of the variance (sqrt(2) times that at lag 0): five times
    // that is exceeded once in two million tests.
    for (std::size_t k = 0; k < lags.size(); ++k) {
        CAPTURE(share, lags[k].first, lags[k].second);
        const double relative =
            (kFrames * covariance(mean, share, lags[k].first, lags[k].second) - single[k]) / variance;
        CHECK(std::abs(relative) < 5.0 * std::sqrt(k == 0 ? 2.0 : 1.0) / kSide);
        // One frame: what a pixel has, its neighbours have not; blocks know nothing of each other.
        if (k == 0)
            CHECK(single[k] == Approx(variance).epsilon(0.02));
        else if (lags[k].first >= 8 || lags[k].second >= 8)
            CHECK(std::abs(single[k]) < 0.01 * variance);
        else
            CHECK(single[k] < 0.01 * variance);
    }
}

TEST_CASE("ordered dither is the same in every frame, each threshold once in a tile") {
    const DitherSeeds seeds = dither_seeds({DitherKind::ordered, 3, 1});
    const DitherSeeds later = dither_seeds({DitherKind::ordered, 3, 2});
    std::array<std::set<std::uint32_t>, 3> all;
    for (int row = 0; row < 64; ++row) {
        for (int column = 0; column < 64; ++column) {
            const auto thresholds = dither_thresholds(seeds, column, row);
            REQUIRE(thresholds == dither_thresholds(later, column, row));
            REQUIRE(thresholds == dither_thresholds(seeds, column + 64, row + 128));
            for (std::size_t channel = 0; channel < 3; ++channel)
                all[channel].insert(thresholds[channel]);
        }
    }
    for (const auto& channel : all) {
        CHECK(channel.size() == 4096);
        CHECK(*channel.begin() == 8);
        CHECK(*channel.rbegin() == 65536 - 8);
    }
    CHECK(dither_thresholds(seeds, 0, 0) !=
          dither_thresholds(dither_seeds({DitherKind::ordered, 4, 1}), 0, 0));
}

TEST_CASE("without dither the nearer code is taken, and no bits are gained") {
    const auto thresholds = dither_thresholds(dither_seeds({}), 5, 6);
    CHECK(32768 > thresholds[0]);
    CHECK_FALSE(32767 > thresholds[0]);
    CHECK(effective_bits(8, DitherKind::none) == 8);
    CHECK(effective_bits(8, DitherKind::noise) == 14);
    CHECK(effective_bits(10, DitherKind::ordered) == 16);
    CHECK_THROWS_AS(effective_bits(9, DitherKind::noise), std::logic_error);
}
