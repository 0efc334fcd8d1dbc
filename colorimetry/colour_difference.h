#pragma once
// Colour differences between two CIELAB colours with the same white and the same observer.
//
// Both take any finite L*, a*, b*, also such as no surface has (L* below 0 or above 100), and are then a
// calculation outside what they were made for. InputError for values that are not finite and where the
// difference would not be. Both are 0 for equal colours, never negative, and the same both ways round.

#include "colorimetry/colour_types.h"

namespace isoseam {

// CIE 1976: the distance in L*, a*, b*.
template <ColourMatching Of = ColourMatching::cie1931_2deg>
double delta_e_ab(const LabOf<Of>& a, const LabOf<Of>& b);

// The parametric factors of CIEDE2000: 1 for the standard's reference conditions. Each greater than 0 and
// finite.
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
