#pragma once
// How finely a frame buffer shows light: its bits, and what dither makes of them.

#include "calibration/display_model.h"
#include "stimuli/dither.h"

namespace isoseam {

struct FrameDepth {
    int bits = 8;  // 8 or 10
    DitherKind dither = DitherKind::none;

    FrameDepth(int frame_bits, DitherKind kind = DitherKind::none) : bits(frame_bits), dither(kind) {}
};

// The light that is really shown for a wanted one (fractions within [0, 1], checked): without dither that of
// the nearest codes, with it the wanted one itself, as the mean over a field of some degrees.
LinearDrive shown_linear(const LinearDrive& wanted, const DisplayModel& display, FrameDepth depth);

std::string to_string(DitherKind kind);            // "none", "noise", "ordered"
DitherKind parse_dither(const std::string& word);  // InputError that lists them

}  // namespace isoseam
