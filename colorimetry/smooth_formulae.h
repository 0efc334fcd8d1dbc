#pragma once
// The smooth formulae of Stockman & Rider 2023 (Color Research & Application 48, 818-840), 360 to 850 nm.

#include "colorimetry/eye_curves.h"

namespace isoseam {

inline constexpr int kFormulaeFirstNm = 360;
inline constexpr int kFormulaeLastNm = 850;

// Gives the log10 low-density absorbance, with the pigment's peak moved by `shift_nm`. If the shift requires
// values more than 2 nm beyond 360 or 850 nm, the curve continues in a straight line over log wavelength. The
// published normalisation leaves L with a peak of -0.0022 (serine alone -0.0024); it is used as published.
EyeCurve formula_log10_absorbance(Pigment pigment, double shift_nm);

EyeCurve formula_macular_density();  // 0.35 at 460 nm
EyeCurve formula_lens_density();     // 1.7649 at 400 nm

}  // namespace isoseam
