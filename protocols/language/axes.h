#pragma once
// The axes of adjustment: what their names mean, and whether a set of them can be told apart.

#include <Eigen/Core>
#include <string>
#include <string_view>
#include <vector>

#include "base/quantity.h"
#include "protocols/procedures/adjustment.h"

namespace isoseam {

// The direction that a name stands for in its space. InputError (found, remedy) when it stands for no
// direction.
//   cone_contrast: a sum of cones, each named once ("L", "S", "L+M", "L-M", "L+M+S"; "-L" for less of one);
//     entries +-1 in (L, M, S)
//   macleod_boynton: "l", "s" or "luminance"; (l, s, luminance)
//   primaries: "primary 1" to "primary 16"; one entry per primary up to the one named
Eigen::VectorXd axis_direction(AdjustmentSpace space, std::string_view name);

// True where step sizes along the axis are plain numbers: for the coordinates l and s. Others are fractions,
// with %.
bool is_plain_number(AdjustmentSpace space, std::string_view name);

// An axis that lies in the span of those before it, by its index, and the indices of those that make it up.
// Directions of different lengths count as filled up with zeros.
struct DependentAxis {
    std::size_t axis = 0;
    std::vector<std::size_t> made_of;
};
std::vector<DependentAxis> dependent_axes(const std::vector<AdjustmentAxis>& axes);

}  // namespace isoseam
