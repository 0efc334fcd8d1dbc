#pragma once
// Dither decides which of two neighbouring codes each pixel gets, so that the light of many pixels, or of
// many frames, has a mean between the lights of the two codes. The mean is unbiased in linear light. A light
// lies at some share of the way from one code to the next. A pixel gets the next code where that share
// exceeds the pixel's threshold.

#include <array>
#include <cstdint>

namespace isoseam {

// The shader knows these by their numbers.
enum class DitherKind {
    none,     // Every pixel gets the nearest code.
    noise,    // The thresholds are new in every frame.
    ordered,  // The thresholds are the same in every frame, for still pictures.
};

struct Dither {
    DitherKind kind = DitherKind::none;
    std::uint64_t key = 0;    // tells one session's dither from another's
    std::uint64_t frame = 0;  // Noise depends on the frame, ordered dither does not.

    friend bool operator==(const Dither&, const Dither&) = default;
};

// What the thresholds of one picture have in common. The graphics card computes each pixel's threshold from
// it.
struct DitherSeeds {
    DitherKind kind = DitherKind::none;
    std::uint32_t block = 0;
    std::uint32_t pixel = 0;
    std::array<std::array<std::uint32_t, 3>, 2> channel{};  // first and second word of each channel
    // How far the blocks of noise, or the tile of each channel, are shifted.
    std::array<std::uint32_t, 3> shift_x{};
    std::array<std::uint32_t, 3> shift_y{};
};
DitherSeeds dither_seeds(const Dither& dither);

// The thresholds of three channels in 65536ths, 0 to 65535. They follow from (key, frame, column, row,
// channel) alone.
//
// Noise is stratified. In each block of 8 x 8 pixels each 64th of the range has one of the 64 thresholds. In
// the same way each 16th of the range has one threshold in a square of 4 x 4 pixels, and each quarter has one
// in a square of 2 x 2 pixels. Which pixel has which is drawn anew for each block and frame, so that over
// frames each pixel's threshold is uniform and independent. The grid of the blocks moves from frame to frame.
//
// Ordered thresholds come from a tile of blue noise, see blue_noise.h.
std::array<std::uint32_t, 3> dither_thresholds(const DitherSeeds& seeds, int column, int row);

// The bits that a frame buffer without dither would need to come as near to a light as the mean over a field
// of 2 degrees does in every single frame. Dither makes 6 bits more (within 1/64 of a code).
int effective_bits(int bits, DitherKind kind);

}  // namespace isoseam
