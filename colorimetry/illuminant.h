#pragma once
// This header gives relative spectra of the CIE's illuminants, which are 1 at 560 nm and reach from 300 to
// 830 nm.
//
//     const Spectrum daylight = spectrum_of(Illuminant::d65);

#include <optional>
#include <string_view>

#include "colorimetry/colour_types.h"
#include "colorimetry/spectrum.h"

namespace isoseam {

// The illuminants of CIE 015:2018. A is Planck's law at 2856 K by the illuminant's own formula. D50, D55, D65
// and D75 are phases of daylight, of which D65 is the CIE's standard one. E is equal energy.
enum class Illuminant { a, d50, d55, d65, d75, e };

// Finds the illuminant by its name, as the CIE writes it ("D65"). Returns nothing for any other word.
std::optional<Illuminant> illuminant_named(std::string_view name);
std::string_view name_of(Illuminant illuminant);

// The named phases of daylight have temperatures of 5000, 5500, 6500, 7500 K on the temperature scale of
// their time (c2 = 1.4380e-2 m K), so they are 5003, 5503, 6504, 7504 K on today's scale. Their multipliers
// are rounded to 3 decimals as the CIE's tables have it.
Spectrum spectrum_of(Illuminant illuminant);

// The range of correlated colour temperatures for which daylight is defined.
inline constexpr double kCoolestDaylightK = 4000.0;
inline constexpr double kHottestDaylightK = 25000.0;

// Gives the phase of daylight with a correlated colour temperature, which counts on today's scale (c2 =
// 1.4388e-2 m K). The multipliers are not rounded, so the spectrum changes smoothly, except for the step that
// the formulae themselves have at 7000 K (5e-7 in x). Throws an InputError outside 4000 to 25000 K.
Spectrum daylight_spectrum(double temperature_k);
// Gives the chromaticity of that phase by the CIE's formula.
Chromaticity daylight_chromaticity(double temperature_k);

}  // namespace isoseam
