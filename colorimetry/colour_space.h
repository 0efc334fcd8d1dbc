#pragma once
// From spectra and excitations to the trade's coordinates and back.

#include "colorimetry/colour_types.h"
#include "colorimetry/observer.h"
#include "colorimetry/spectrum.h"

namespace isoseam {

inline constexpr double kLumensPerWatt = 683.0;  // CIE 018; K_m

// CIE 1931 2 degree observer, 360 to 830 nm, 683 lm/W; trapezoid over the union grid as in
// Observer::excitations.
Xyz tristimulus(const Spectrum& spectrum);
// CIE 1931 luminance: tristimulus().y.
double luminance_cd_m2(const Spectrum& spectrum);
// Luminance by the observer's own V_F (CIE 170-2:2015), from excitations.
double luminance_cd_m2(const Lms& lms, const Observer& observer);

// y > 0 is needed for chromaticities: InputError otherwise ("black has no chromaticity").
XyY xyy_from_xyz(const Xyz& xyz);
Xyz xyz_from_xyy(const XyY& xyy);  // chromaticity.y > 0, luminance >= 0, else InputError

MacLeodBoynton macleod_boynton_from_lms(const Lms& lms,
                                        const Observer& observer);  // luminance > 0, else InputError
Lms lms_from_macleod_boynton(const MacLeodBoynton& coordinates, const Observer& observer);

// Each background excitation must be > 0, else InputError.
ConeContrast cone_contrast(const Lms& target, const Lms& background);
Lms lms_from_cone_contrast(const ConeContrast& contrast, const Lms& background);

// The spectrum nearest to `base` (least squares over 390..830 nm) that has these tristimulus values /
// excitations: the assumed spectrum of a light that is specified by three numbers only. May have negative
// values for saturated lights.
Spectrum nearest_spectrum(const Spectrum& base, const Xyz& target);
Spectrum nearest_spectrum(const Spectrum& base, const Lms& target, const Observer& observer);

}  // namespace isoseam
