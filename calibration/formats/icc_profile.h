#pragma once
// This header writes a calibration as an ICC v4 display profile of the matrix/TRC kind.

#include <string>

#include "calibration/calibration.h"

namespace isoseam {

// This says, in words for a person, what such a profile leaves out of a calibration.
inline constexpr const char* kIccCaution =
    "the profile knows the CIE 1931 observer only, and the screen's black is not in it";

// Tone curves have this many entries of 16 bits, evenly spaced in drive.
inline constexpr int kIccToneEntries = 4096;

// Gives the bytes of a profile. Its colorants are the primaries' CIE 1931 tristimulus values without black,
// relative to their sum (the white of all drives at 1), which is adapted to D50 by the Bradford transform.
// The media white is D50, and the adaptation stands in the `chad` tag (ICC.1, version 4). The date is the day
// of measuring, so that the same calibration gives the same bytes. `adds_up` says that the screen's light is
// the sum of its primaries' light. Throws an InputError for a screen that does not add up, for a number of
// primaries other than three, and for a white without chromaticity.
std::string icc_profile(const Calibration& calibration, bool adds_up);

}  // namespace isoseam
