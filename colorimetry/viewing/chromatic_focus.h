#pragma once
// The eye does not focus lights of all wavelengths at once. Where one is sharp, another lies before or behind
// the retina and makes a disc of blur instead of a point, as wide as the pupil times the difference of focus.
//
//     const double wide = chromatic_blur_arcmin(465.0, 555.0, 3.0);  // 6.9

namespace isoseam {

// Thibos, Ye, Zhang & Bradley 1992 ("The chromatic eye"): refraction = 1.68524 - 633.46 / (w - 214.102)
// dioptres, w in nm; 0 near 590 nm. Measured from about 400 to 700 nm.
inline constexpr double kShortestFocusNm = 380.0;
inline constexpr double kLongestFocusNm = 780.0;
// ISOSEAM_CHECK: a wavelength from kShortestFocusNm to kLongestFocusNm, of which the ends are extrapolated.
double chromatic_refraction_dioptres(double wavelength_nm);

// The diameter of the disc of blur of one wavelength where the eye focuses the other, by geometry, without
// diffraction. 0 or more. ISOSEAM_CHECK: wavelengths as above; a pupil above 0 mm, and finite.
double chromatic_blur_arcmin(double seen_nm, double focused_nm, double pupil_mm);

}  // namespace isoseam
