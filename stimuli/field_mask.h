#pragma once
// What covers each pixel of a field, in whole numbers: the one form of a layout from which the reference
// drawing and the graphics card both draw.

#include <array>
#include <cstdint>
#include <vector>

#include "stimuli/field.h"

namespace isoseam {

struct FieldMask {
    // Shares of a pixel in 65535ths, by FieldRegion; they add up to kFull.
    using Shares = std::array<std::uint16_t, kRegionCount>;
    static constexpr std::uint32_t kFull = 65535;

    // The part of the screen that is not surround alone.
    int left_px = 0;
    int top_px = 0;
    int width_px = 0;
    int height_px = 0;
    // For each pixel of that part, row by row: the FieldRegion that covers it, or kRegionCount + the place of
    // its shares in `edges`.
    std::vector<std::uint32_t> cells;
    std::vector<Shares> edges;

    std::uint32_t cell(int column, int row) const;  // for any pixel of the screen
};

FieldMask field_mask(const FieldLayout& layout);

}  // namespace isoseam
