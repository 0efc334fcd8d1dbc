#include "stimuli/blue_noise.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

#include "base/random.h"

namespace isoseam {

namespace {

constexpr int kSize = static_cast<int>(kBlueNoiseSize);
constexpr int kPixels = kSize * kSize;
constexpr int kFirstPoints = kPixels / 10;
constexpr double kSpreadPx = 1.5;  // common practice, from memory
constexpr int kReachPx = 9;
constexpr RandomStream kStartingPoints{0, kStreamBlueNoise};

// Points on the tile and how crowded each pixel is by them, in whole numbers: sums that do not depend on
// their order, nor on the machine.
class Crowd {
  public:
    Crowd() {
        constexpr double kScale = 1 << 24;
        for (int y = -kReachPx; y <= kReachPx; ++y) {
            for (int x = -kReachPx; x <= kReachPx; ++x) {
                weights_[index(y, x)] = static_cast<std::int64_t>(
                    std::lround(kScale * std::exp(-(x * x + y * y) / (2.0 * kSpreadPx * kSpreadPx))));
            }
        }
    }

    void add(int pixel) { change(pixel, 1); }
    void remove(int pixel) { change(pixel, -1); }
    int tightest_cluster() const {
        return extreme(true, [](auto a, auto b) { return a > b; });
    }
    int largest_void() const {
        return extreme(false, [](auto a, auto b) { return a < b; });
    }

  private:
    static std::size_t index(int y, int x) {
        return static_cast<std::size_t>((y + kReachPx) * (2 * kReachPx + 1) + x + kReachPx);
    }

    void change(int pixel, int sign) {
        has_point_[static_cast<std::size_t>(pixel)] = sign > 0;
        const int row = pixel / kSize;
        const int column = pixel % kSize;
        for (int y = -kReachPx; y <= kReachPx; ++y) {
            const int to_row = (row + y + kSize) % kSize;
            for (int x = -kReachPx; x <= kReachPx; ++x) {
                const int to = to_row * kSize + (column + x + kSize) % kSize;
                crowding_[static_cast<std::size_t>(to)] += sign * weights_[index(y, x)];
            }
        }
    }

    template <class Before>
    int extreme(bool among_points, const Before& before) const {
        int best = -1;
        for (int i = 0; i < kPixels; ++i) {
            const auto at = static_cast<std::size_t>(i);
            if (has_point_[at] == among_points &&
                (best < 0 || before(crowding_[at], crowding_[static_cast<std::size_t>(best)])))
                best = i;
        }
        return best;
    }

    std::array<std::int64_t, (2 * kReachPx + 1) * (2 * kReachPx + 1)> weights_{};
    std::array<std::int64_t, kPixels> crowding_{};
    std::array<bool, kPixels> has_point_{};
};

// Begins with a tenth of the points, and moves one from the tightest cluster into the largest void until that
// changes nothing.
Crowd first_points(std::vector<int>& pixels) {
    Crowd crowd;
    pixels = shuffled_order(kStartingPoints, kPixels);
    pixels.resize(kFirstPoints);
    for (const int pixel : pixels)
        crowd.add(pixel);
    for (;;) {
        const int from = crowd.tightest_cluster();
        crowd.remove(from);
        const int to = crowd.largest_void();
        crowd.add(to);
        if (to == from)
            return crowd;
        std::replace(pixels.begin(), pixels.end(), from, to);
    }
}

std::vector<std::uint16_t> made_ranks() {
    std::vector<std::uint16_t> ranks(kPixels);
    std::vector<int> pixels;
    const Crowd first = first_points(pixels);
    Crowd emptying = first;
    for (int rank = kFirstPoints - 1; rank >= 0; --rank) {
        const int pixel = emptying.tightest_cluster();
        emptying.remove(pixel);
        ranks[static_cast<std::size_t>(pixel)] = static_cast<std::uint16_t>(rank);
    }
    // Beyond half of the pixels the method fills the tightest cluster of empty ones. On a tile without
    // borders that is the largest void again.
    Crowd filling = first;
    for (int rank = kFirstPoints; rank < kPixels; ++rank) {
        const int pixel = filling.largest_void();
        filling.add(pixel);
        ranks[static_cast<std::size_t>(pixel)] = static_cast<std::uint16_t>(rank);
    }
    return ranks;
}

}  // namespace

const std::vector<std::uint16_t>& blue_noise_ranks() {
    static const std::vector<std::uint16_t> ranks = made_ranks();
    return ranks;
}

}  // namespace isoseam
