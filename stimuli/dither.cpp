#include "stimuli/dither.h"

#include <fmt/format.h>

#include <utility>

#include "base/errors.h"
#include "base/random.h"
#include "stimuli/blue_noise.h"
#include "stimuli/tone_table.h"

namespace isoseam {

namespace {

constexpr int kBitsOfDither = 6;

// A one-to-one mixing of 32 bits by multiplying and folding, as hash functions end with (constants from
// memory, common practice).
std::uint32_t mixed(std::uint32_t bits) {
    bits ^= bits >> 16U;
    bits *= 0x85EBCA6BU;
    bits ^= bits >> 13U;
    bits *= 0xC2B2AE35U;
    bits ^= bits >> 16U;
    return bits;
}

// The 6 bits of a place in its block, coarse to fine: two for the square of 4 x 4, two for that of 2 x 2 in
// it, two for the pixel in that.
std::uint32_t place_in_block(std::uint32_t x, std::uint32_t y) {
    return (x & 4U) << 3U | (y & 4U) << 2U | (x & 2U) << 2U | (y & 2U) << 1U | (x & 1U) << 1U | (y & 1U);
}

// The place's bits, each flipped by a fair bit of its own for each way in which the bits before it can stand
// (63 in all), and put in reverse order: the finest decide on the coarsest part of the threshold.
std::uint32_t stratum(std::uint32_t place, std::uint32_t first_word, std::uint32_t second_word) {
    std::uint32_t bits = 0;
    for (std::uint32_t level = 0; level < 6; ++level) {
        const std::uint32_t node = 1U << level | place >> (6U - level);
        const std::uint32_t flip = (node < 32U ? first_word >> node : second_word >> (node - 32U)) & 1U;
        bits |= ((place >> (5U - level) & 1U) ^ flip) << level;
    }
    return bits;
}

std::array<std::uint32_t, 3> noise_thresholds(const DitherSeeds& seeds, std::uint32_t column,
                                              std::uint32_t row) {
    std::uint32_t x = column + seeds.shift_x[0];
    std::uint32_t y = row + seeds.shift_y[0];
    const std::uint32_t block = mixed((y >> 3U << 16U | x >> 3U) ^ seeds.block);
    // Along the last bit of a place thresholds differ more than along the one before: x and y take turns.
    if ((block & 1U) != 0U)
        std::swap(x, y);
    const std::uint32_t place = place_in_block(x, y);
    const std::uint32_t jitter = mixed((row << 16U | column) ^ seeds.pixel);
    std::array<std::uint32_t, 3> thresholds{};
    for (std::uint32_t channel = 0; channel < 3; ++channel) {
        const std::uint32_t strata = stratum(place, mixed(block ^ seeds.channel[0][channel]),
                                             mixed(block ^ seeds.channel[1][channel]));
        thresholds[channel] = strata << 10U | (jitter >> (10U * channel) & 1023U);
    }
    return thresholds;
}

std::array<std::uint32_t, 3> ordered_thresholds(const DitherSeeds& seeds, std::uint32_t column,
                                                std::uint32_t row) {
    constexpr std::uint32_t kMask = kBlueNoiseSize - 1;
    constexpr std::uint32_t kStep = kWholeShare / (kBlueNoiseSize * kBlueNoiseSize);
    const std::vector<std::uint16_t>& ranks = blue_noise_ranks();
    std::array<std::uint32_t, 3> thresholds{};
    for (std::size_t channel = 0; channel < 3; ++channel) {
        const std::uint32_t x = (column + seeds.shift_x[channel]) & kMask;
        const std::uint32_t y = (row + seeds.shift_y[channel]) & kMask;
        thresholds[channel] = ranks[y * kBlueNoiseSize + x] * kStep + kStep / 2;
    }
    return thresholds;
}

}  // namespace

DitherSeeds dither_seeds(const Dither& dither) {
    DitherSeeds seeds;
    seeds.kind = dither.kind;
    if (dither.kind == DitherKind::none)
        return seeds;
    const std::uint64_t frame = dither.kind == DitherKind::noise ? dither.frame : 0;
    const auto words = [&](std::uint32_t draw) {
        return philox4x32_10(
            {static_cast<std::uint32_t>(frame), static_cast<std::uint32_t>(frame >> 32U), kStreamDither,
             draw},
            {static_cast<std::uint32_t>(dither.key), static_cast<std::uint32_t>(dither.key >> 32U)});
    };
    const std::array<std::uint32_t, 4> common = words(0);
    seeds.block = common[0];
    seeds.pixel = common[1];
    const std::uint32_t shift_mask = dither.kind == DitherKind::noise ? 7U : kBlueNoiseSize - 1;
    for (std::uint32_t channel = 0; channel < 3; ++channel) {
        const std::array<std::uint32_t, 4> own = words(1 + channel);
        seeds.channel[0][channel] = own[0];
        seeds.channel[1][channel] = own[1];
        // Noise has the same grid of blocks for all channels.
        const std::array<std::uint32_t, 4>& shifts = dither.kind == DitherKind::noise ? common : own;
        seeds.shift_x[channel] = shifts[2] & shift_mask;
        seeds.shift_y[channel] = shifts[3] & shift_mask;
    }
    return seeds;
}

std::array<std::uint32_t, 3> dither_thresholds(const DitherSeeds& seeds, int column, int row) {
    const auto x = static_cast<std::uint32_t>(column);
    const auto y = static_cast<std::uint32_t>(row);
    switch (seeds.kind) {
        case DitherKind::none: {
            constexpr std::uint32_t kNearest = kWholeShare / 2 - 1;
            return {kNearest, kNearest, kNearest};
        }
        case DitherKind::noise:
            return noise_thresholds(seeds, x, y);
        case DitherKind::ordered:
            return ordered_thresholds(seeds, x, y);
    }
    ISOSEAM_CHECK(false, "dither of no known kind");
    return {};
}

int effective_bits(int bits, DitherKind kind) {
    ISOSEAM_CHECK(bits == 8 || bits == 10, fmt::format("bits = {}", bits));
    return kind == DitherKind::none ? bits : bits + kBitsOfDither;
}

}  // namespace isoseam
