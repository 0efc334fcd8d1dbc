#pragma once
// Colour differences between two CIELAB colours with the same white and the same observer.
//
// Both functions take any finite L*, a*, b*, even values that no surface has (L* below 0 or above 100); the
// result is then a calculation outside the range for which the formulae were made. They throw InputError for
// values that are not finite, and where the difference would not be finite. Both are 0 for equal colours,
// never negative, and the same when the two colours change places.
//
//     const double difference = delta_e_2000(lab_from_xyz(a, white), lab_from_xyz(b, white));

#include "colorimetry/colour_types.h"

namespace isoseam {

// CIE 1976: the distance in L*, a*, b*.
template <ColourMatching Of = ColourMatching::cie1931_2deg>
double delta_e_ab(const LabOf<Of>& a, const LabOf<Of>& b);

// The parametric factors of CIEDE2000. Each is 1 under the standard's reference conditions, and must be
// greater than 0 and finite.
struct Ciede2000Factors {
    double k_l = 1.0;
    double k_c = 1.0;
    double k_h = 1.0;
};

// CIEDE2000: ISO/CIE 11664-6. Hues that are exactly opposite count as the publication of the test pairs does
// (Sharma, Wu & Dalal 2005): the mean of the two angles in 0 to 360 degrees. The formula itself jumps there,
// by up to about 1 %.
template <ColourMatching Of = ColourMatching::cie1931_2deg>
double delta_e_2000(const LabOf<Of>& a, const LabOf<Of>& b, const Ciede2000Factors& factors = {});

}  // namespace isoseam
