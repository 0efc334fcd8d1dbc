#pragma once
// This header computes the excitation of rods by a light, from the CIE 1951 scotopic luminous efficiency V'
// (380 to 780 nm, energy-based, peak 1).
//
//     const double seen_by_rods_cd_m2 = scotopic_luminance_cd_m2(spectrum);

#include <optional>

#include "base/quantity.h"
#include "colorimetry/spectrum.h"

namespace isoseam {

inline constexpr double kScotopicLumensPerWatt = 1700.0;  // CIE 018; K'_m

// Gives the sum over wavelength of radiance times V', by the trapezoid of Observer::excitations, with the
// spectral lines added, in W/(sr m2). Light outside 380 to 780 nm excites no rod here.
double rod_excitation(const Spectrum& spectrum);
double scotopic_luminance_cd_m2(const Spectrum& spectrum);  // 1700 lm/W times the above

// Returns (second - first) / first. It is 0 when neither light excites rods. There is none when only the
// first excites no rods, or where the contrast is too large for a number.
std::optional<double> rod_contrast(const Spectrum& second, const Spectrum& first);

// Rods may take part in a match where the field reaches beyond the fovea, which has hardly any, and the light
// is dim enough for them. Both limits are common practice, no source: rods count below a few cd/m2 and may
// still be noticed at about ten.
inline constexpr Degrees kRodFreeField = Degrees::from_degrees(2.0);
inline constexpr double kRodsCountBelowCdM2 = 10.0;
bool rods_may_matter(Degrees field, double luminance_cd_m2);

}  // namespace isoseam
