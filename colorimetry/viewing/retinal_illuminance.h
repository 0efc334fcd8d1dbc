#pragma once
// The light that comes through the pupil to the retina, in trolands: luminance in cd/m2 times the area of the
// pupil in mm2. Photopic trolands count the light by V (CIE 1931), scotopic ones by V' (CIE 1951, 1700 lm/W).
// They are not corrected for light that enters near the pupil's edge and counts less for cones
// (Stiles-Crawford), and not for the eye's own media.
//
//     const Trolands seen = retinal_illuminance(spectrum, 4.5278);   // of 100 cd/m2: seen.photopic = 1610

#include "colorimetry/spectrum.h"

namespace isoseam {

struct Trolands {
    double photopic = 0.0;
    double scotopic = 0.0;
};

// The area of a round pupil.
double pupil_area_mm2(double pupil_mm);
// ISOSEAM_CHECK: the diameter of the pupil is above 0 and finite.
Trolands retinal_illuminance(const Spectrum& light, double pupil_mm);

// ---- What so much light does to rods and cones ----

// From about this illuminance on rods signal nothing any more: Aguilar & Stiles 1954 found them to saturate
// at 2,000 to 5,000 scotopic trolands (from memory); the lower figure stands here. A large field below it may
// be seen by rods too.
inline constexpr double kRodsSaturateScotopicTd = 2000.0;

// The photopic illuminance at which half of the cones' photopigment is bleached once bleaching and
// regeneration are in balance: 10^4.3 td (Rushton & Henry 1968, from memory).
inline constexpr double kHalfBleachTd = 19952.6231496888;
// The bleached share of the cones' photopigment in that balance, I / (I + kHalfBleachTd), 0 to 1. It is
// reached after some minutes of steady looking. The optical density of the pigment falls by the same share.
// ISOSEAM_CHECK: 0 or more, and finite.
double bleached_share(double photopic_td);

}  // namespace isoseam
