#pragma once
// A tile of blue noise: it orders pixels such that the first of them, however many are taken, lie evenly and
// without pattern.

#include <cstdint>
#include <vector>

namespace isoseam {

inline constexpr std::uint32_t kBlueNoiseSize = 64;  // pixels a side; the tile continues at its borders

// Each of 0 .. 4095 once, row by row; the same on every machine. The tile is made by the void-and-cluster
// method (Ulichney 1993, from memory) at the first call, which takes some hundredths of a second.
const std::vector<std::uint16_t>& blue_noise_ranks();

}  // namespace isoseam
