#pragma once
// This header computes contrasts along three axes that each change one thing, normalised to pooled cone
// contrast.
//
// Let c = (cL, cM, cS) be the cone contrasts from a background, and l and m = 1 - l the shares of L and M in
// the background's luminance (MacLeod-Boynton l and m, by the observer's own V_F). Three things depend on c
// as follows:
//
//   luminance contrast            l cL + m cM          V_F = w_L L + w_M M
//   L against M                   cL - cM              0 when L and M change alike
//   S against luminance           cS - (l cL + m cM)   0 when the chromaticity's s stays
//
// Each axis is the direction in which one of them changes and the two others stay 0:
//
//   luminance, at constant chromaticity           (1, 1, 1)
//   L-M, at constant luminance and constant S     (m, -l, 0)
//   S alone                                       (0, 0, 1)
//
// The three are independent for every background, since l + m = 1. Divided by its length sqrt(cL^2 + cM^2 +
// cS^2), each becomes a unit of pooled cone contrast, so
//
//   c = luminance (1, 1, 1) / sqrt(3) + l_minus_m (m, -l, 0) / sqrt(l^2 + m^2) + s (0, 0, 1)
//
// and the other way, from what the axes leave 0,
//
//   luminance = sqrt(3) (l cL + m cM),  l_minus_m = sqrt(l^2 + m^2) (cL - cM),  s = cS - (l cL + m cM)
//
// So 1 on one axis alone is a cone contrast of length 1; a luminance of 1 is a luminance contrast of 1 /
// sqrt(3). The axes are not at right angles in cone contrasts: lengths along two of them do not add as
// squares.

#include "colorimetry/colour_types.h"
#include "colorimetry/observer.h"

namespace isoseam {

// Each background excitation must be greater than 0, and all numbers must be finite; otherwise throws an
// InputError. Any contrast is allowed, even one for which the excitation of a cone would be below 0. There
// and back is exact to rounding of the largest of the three numbers.
PooledCardinalContrast pooled_cardinal_contrast(const ConeContrast& contrast, const Lms& background,
                                                const Observer& observer);
ConeContrast cone_contrast_from_pooled_cardinal(const PooledCardinalContrast& contrast, const Lms& background,
                                                const Observer& observer);

// Gives the same for a target light and a background light.
PooledCardinalContrast pooled_cardinal_contrast(const Lms& target, const Lms& background,
                                                const Observer& observer);
Lms lms_from_pooled_cardinal(const PooledCardinalContrast& contrast, const Lms& background,
                             const Observer& observer);

}  // namespace isoseam
