#pragma once
// A drawing in one ink, pixel by pixel, for the pages of a screen.

#include <cstdint>
#include <vector>

namespace isoseam {

// How much ink is on each pixel, 0 to 255, row 0 on top.
struct InkPicture {
    int width_px = 0;
    int height_px = 0;
    std::vector<std::uint8_t> ink;
};

}  // namespace isoseam
