#pragma once
// Seeded draws, and how often an interval that should hold the truth in 95 of 100 sets may miss.

#include <cmath>
#include <cstdint>

#include "base/random.h"

namespace isoseam::test {

// Draw after draw of one stream.
class Draws {
  public:
    explicit Draws(std::uint64_t seed) : random_{seed, 7100} {}
    double normal() { return random_.normal(next_++); }
    double uniform() { return random_.uniform(next_++); }
    std::uint64_t below(std::uint64_t bound) { return random_.below(next_++, bound); }

  private:
    RandomStream random_;
    std::uint64_t next_ = 0;
};

inline constexpr int kSets = 1000;
// 93 to 97 %: 2.9 standard deviations of a binomial of 1000 and 0.95. Sets are seeded, so that a test that
// passes once passes always.
inline bool covers(int held) {
    return held >= 930 && held <= 970;
}

}  // namespace isoseam::test
