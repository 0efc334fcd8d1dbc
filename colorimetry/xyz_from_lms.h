#pragma once
// This header computes tristimulus values from cone excitations: CIE 170-2:2015.

#include <Eigen/Core>

#include "colorimetry/colour_types.h"
#include "colorimetry/observer.h"

namespace isoseam {

// Uses the published matrices, for the published observers of 2 and of 10 degrees, 32 years (Of: cie2015_2deg
// or cie2015_10deg), with 683 lm/W. Throws an InputError for excitations or values that are not finite, and
// for any other observer. The row of X of such an observer would follow from a fit to the chromaticities of
// CIE 1931 or CIE 1964, and the published figures do not say which of them applies between 2 and 10 degrees.
// Negative excitations are allowed.
template <ColourMatching Of>
TristimulusOf<Of> xyz_from_lms(const Lms& lms, const Observer& observer);
template <ColourMatching Of>
Lms lms_from_xyz(const TristimulusOf<Of>& xyz, const Observer& observer);

// Gives the rows of Y and Z for any observer, by the rule that made the published ones: Y is V_F, and Z is S,
// scaled so that an equal-energy light has Z = Y. The factor of 683 lm/W is not included. The published rows
// are met to 2e-7.
Eigen::Matrix<double, 2, 3> yz_from_lms(const Observer& observer);

}  // namespace isoseam
