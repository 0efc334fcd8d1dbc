#pragma once
// Converts spectra and cone excitations to the coordinates of the trade, and back.
//
//     const XyY shown = xyy_from_xyz(tristimulus(spectrum));    // CIE 1931 x, y and Y in cd/m2

#include "colorimetry/colour_types.h"
#include "colorimetry/observer.h"
#include "colorimetry/spectrum.h"

namespace isoseam {

inline constexpr double kLumensPerWatt = 683.0;  // CIE 018; K_m

// The tristimulus values with 683 lm/W. The integral is the trapezoid over the union of both grids, as in
// Observer::excitations, from 360 nm (CIE 170-2: 390 nm) to 830 nm. tristimulus(spectrum) is CIE 1931,
// tristimulus<ColourMatching::cie1964_10deg>(spectrum) is CIE 1964.
template <ColourMatching Of = ColourMatching::cie1931_2deg>
TristimulusOf<Of> tristimulus(const Spectrum& spectrum);
// True when Y > 0 and X + Y + Z > 0, and all three are finite.
bool has_chromaticity(const Xyz& xyz);
// Gives the CIE 1931 luminance: tristimulus().y.
double luminance_cd_m2(const Spectrum& spectrum);
// Gives the luminance by the observer's own V_F (CIE 170-2:2015), from excitations.
double luminance_cd_m2(const Lms& lms, const Observer& observer);

// Converts to x, y and Y, which are defined if Y > 0 and X + Y + Z > 0 (X or Z alone may be negative).
// Otherwise throws an InputError ("black has no chromaticity"). The way back is defined for every finite x, y
// > 0 and Y >= 0, and otherwise throws an InputError. There and back is exact to rounding of the largest of
// the three values. It is not exact beyond Y : (X + Y + Z) of 1e-300, where y has no digits.
template <ColourMatching Of = ColourMatching::cie1931_2deg>
XyYOf<Of> xyy_from_xyz(const TristimulusOf<Of>& xyz);
template <ColourMatching Of = ColourMatching::cie1931_2deg>
TristimulusOf<Of> xyz_from_xyy(const XyYOf<Of>& xyy);

// Converts to u', v' (CIE 1976 UCS, CIE 015:2018) and Y, which are defined if Y > 0 and X + 15 Y + 3 Z > 0.
// The way back is defined for every finite u', v' > 0 and Y >= 0. Otherwise throws an InputError as above. u'
// = 4 X / (X + 15 Y + 3 Z), v' = 9 Y / (X + 15 Y + 3 Z).
template <ColourMatching Of = ColourMatching::cie1931_2deg>
UniformChromaticityOf<Of> uniform_chromaticity_from_xyz(const TristimulusOf<Of>& xyz);
template <ColourMatching Of = ColourMatching::cie1931_2deg>
TristimulusOf<Of> xyz_from_uniform_chromaticity(const UniformChromaticityOf<Of>& uvy);

// The luminance must be greater than 0; otherwise throws an InputError.
MacLeodBoynton macleod_boynton_from_lms(const Lms& lms, const Observer& observer);
Lms lms_from_macleod_boynton(const MacLeodBoynton& coordinates, const Observer& observer);

// Each background excitation must be greater than 0; otherwise throws an InputError.
ConeContrast cone_contrast(const Lms& target, const Lms& background);
Lms lms_from_cone_contrast(const ConeContrast& contrast, const Lms& background);

// Gives the spectrum nearest to `base` (least squares over 390..830 nm) that has these tristimulus values or
// excitations. It is the assumed spectrum of a light that is specified by three numbers only. It may have
// negative values for saturated lights.
Spectrum nearest_spectrum(const Spectrum& base, const Xyz& target);
Spectrum nearest_spectrum(const Spectrum& base, const Lms& target, const Observer& observer);

}  // namespace isoseam
