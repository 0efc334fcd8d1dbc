#pragma once
// Dither: which of two neighbouring codes each pixel gets, so that the light of many pixels, or of many
// frames, averages to one between them. It is unbiased in linear light. A light lies at some share of the way
// from one code to the next; a pixel gets the next code where that share exceeds the pixel's threshold.

#include <array>
#include <cstdint>

namespace isoseam {

enum class DitherKind {  // the shader knows them by number
    none,                // the nearest code
    noise,               // new in every frame
    ordered,             // the same in every frame: for still pictures
};

struct Dither {
    DitherKind kind = DitherKind::none;
    std::uint64_t key = 0;    // tells one session's dither from another's
    std::uint64_t frame = 0;  // noise depends on it, ordered dither does not

    friend bool operator==(const Dither&, const Dither&) = default;
};

// What the thresholds of one picture have in common; the graphics card computes the pixels' own from it.
struct DitherSeeds {
    DitherKind kind = DitherKind::none;
    std::uint32_t block = 0;
    std::uint32_t pixel = 0;
    std::array<std::array<std::uint32_t, 3>, 2> channel{};  // first and second word of each channel
    // By how much the blocks of noise, or the tile of each channel, are shifted.
    std::array<std::uint32_t, 3> shift_x{};
    std::array<std::uint32_t, 3> shift_y{};
};
DitherSeeds dither_seeds(const Dither& dither);

// The thresholds of three channels in 65536ths, 0 to 65535. They follow from (key, frame, column, row,
// channel) alone.
//
// Noise is stratified: in each block of 8 x 8 pixels the 64 thresholds fall one into each 64th of the range,
// and so do those of its squares of 4 x 4 and 2 x 2 pixels into each 16th and quarter. Which one falls where
// is drawn afresh for each block and frame, so that over frames each pixel's threshold is uniform and
// independent; the blocks' grid moves from frame to frame.
// Ordered thresholds come from a tile of blue noise, see blue_noise.h.
std::array<std::uint32_t, 3> dither_thresholds(const DitherSeeds& seeds, int column, int row);

// Bits of a frame buffer without dither that would come as near as the mean over a field of 2 degrees does in
// every single frame: dither makes 6 bits more (within 1/64 of a code).
int effective_bits(int bits, DitherKind kind);

}  // namespace isoseam
