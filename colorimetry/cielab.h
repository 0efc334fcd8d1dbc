#pragma once
// CIELAB: L*, a*, b* of CIE 015:2018 and ISO/CIE 11664-4, for any of the CIE's observers.
//
//     const Lab lab = lab_from_xyz(tristimulus(light), tristimulus(white));

#include "colorimetry/colour_types.h"

namespace isoseam {

// `white` is the tristimulus values of the white that counts as L* = 100, seen by the same observer; all
// three must be greater than 0 and finite. InputError for any other white, and for values that are not
// finite. Values below (24/116)^3 of the white, negative ones too, lie on the standard's straight line, so
// that black is 0, 0, 0 and a value below 0 has a colour too. The standard says nothing of such a colour: it
// is only a calculation.
template <ColourMatching Of = ColourMatching::cie1931_2deg>
LabOf<Of> lab_from_xyz(const TristimulusOf<Of>& xyz, const TristimulusOf<Of>& white);

// This is the inverse, for every finite L*, a*, b*. There and back is exact to rounding of the largest of the
// three values as a share of the white, if no value is below -1000 times the white. Far below zero the line
// has left the cube root so far behind that a* and b* lose the smaller of their two terms. Throws an
// InputError as above, and if the values would leave the range of numbers.
template <ColourMatching Of = ColourMatching::cie1931_2deg>
TristimulusOf<Of> xyz_from_lab(const LabOf<Of>& lab, const TristimulusOf<Of>& white);

}  // namespace isoseam
