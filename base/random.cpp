#include "base/random.h"

#include <cmath>
#include <numbers>
#include <utility>

#include "base/errors.h"

namespace isoseam {
namespace {

constexpr int kRounds = 10;
constexpr std::uint32_t kMultiplier0 = 0xD2511F53;
constexpr std::uint32_t kMultiplier1 = 0xCD9E8D57;
constexpr std::uint32_t kWeyl0 = 0x9E3779B9;
constexpr std::uint32_t kWeyl1 = 0xBB67AE85;

constexpr std::uint32_t low(std::uint64_t value) {
    return static_cast<std::uint32_t>(value);
}
constexpr std::uint32_t high(std::uint64_t value) {
    return static_cast<std::uint32_t>(value >> 32U);
}
constexpr std::uint64_t joined(std::uint32_t low_half, std::uint32_t high_half) {
    return (std::uint64_t{high_half} << 32U) | low_half;
}

// Multiples of 2^-53 in [0, 1).
double fraction(std::uint64_t bits) {
    return static_cast<double>(bits >> 11U) * 0x1.0p-53;
}

// The counter of draw `index` in its stream; `attempt` > 0 where a draw had to be rejected.
std::array<std::uint32_t, 4> block(const RandomStream& stream, std::uint64_t index, std::uint32_t attempt) {
    return philox4x32_10({low(index), high(index), stream.stream, attempt},
                         {low(stream.seed), high(stream.seed)});
}

}  // namespace

std::array<std::uint32_t, 4> philox4x32_10(std::array<std::uint32_t, 4> counter,
                                           std::array<std::uint32_t, 2> key) {
    for (int round = 0; round < kRounds; ++round) {
        const std::uint64_t product0 = std::uint64_t{kMultiplier0} * counter[0];
        const std::uint64_t product1 = std::uint64_t{kMultiplier1} * counter[2];
        counter = {high(product1) ^ counter[1] ^ key[0], low(product1), high(product0) ^ counter[3] ^ key[1],
                   low(product0)};
        key[0] += kWeyl0;
        key[1] += kWeyl1;
    }
    return counter;
}

std::uint64_t RandomStream::bits(std::uint64_t index) const {
    const auto words = block(*this, index, 0);
    return joined(words[0], words[1]);
}

double RandomStream::uniform(std::uint64_t index) const {
    return fraction(bits(index));
}

double RandomStream::normal(std::uint64_t index) const {
    const auto words = block(*this, index, 0);
    const double radius_uniform =
        1.0 - fraction(joined(words[0], words[1]));  // (0, 1], so the logarithm is finite
    const double angle_uniform = fraction(joined(words[2], words[3]));
    return std::sqrt(-2.0 * std::log(radius_uniform)) * std::cos(2.0 * std::numbers::pi * angle_uniform);
}

std::uint64_t RandomStream::below(std::uint64_t index, std::uint64_t bound) const {
    ISOSEAM_CHECK(bound >= 1, "there is no number below 0");
    const std::uint64_t surplus =
        (std::uint64_t{0} - bound) % bound;  // 2^64 modulo bound: these would be too frequent
    for (std::uint32_t attempt = 0;; ++attempt) {
        const auto words = block(*this, index, attempt);
        const std::uint64_t drawn = joined(words[0], words[1]);
        if (drawn >= surplus) {
            return drawn % bound;
        }
    }
}

std::vector<int> shuffled_order(const RandomStream& stream, int count) {
    ISOSEAM_CHECK(count >= 0);
    std::vector<int> order(static_cast<std::size_t>(count));
    for (std::size_t i = 0; i < order.size(); ++i) {
        order[i] = static_cast<int>(i);
    }
    for (std::size_t i = order.size(); i > 1; --i) {
        std::swap(order[i - 1], order[stream.below(i - 1, i)]);
    }
    return order;
}

}  // namespace isoseam
