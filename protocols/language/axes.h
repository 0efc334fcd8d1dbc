#pragma once
// The axes of adjustment: what their names mean, and whether a set of them can be told apart.

#include <Eigen/Core>
#include <string>
#include <string_view>
#include <vector>

#include "base/quantity.h"
#include "protocols/procedures/adjustment.h"

namespace isoseam {

// The direction that a name stands for in its space. When it stands for no direction, the InputError tells
// what was found and a remedy, but no place.
//   cone_contrast: The name is a sum of cones, each named once: "L", "S", "L+M", "L-M", "L+M+S", or "-L" for
//     less of a cone. The entries are (L, M, S), each of them 0, 1 or -1.
//   macleod_boynton: The name is "l", "s" or "luminance". The entries are (l, s, luminance).
//   primaries: The name is "primary 1" to "primary 16". There is one entry for each primary up to that one.
Eigen::VectorXd axis_direction(AdjustmentSpace space, std::string_view name);

// True where step sizes along the axis are plain numbers, which is so for the coordinates l and s. On all
// other axes they are fractions, which the file writes with %.
bool is_plain_number(AdjustmentSpace space, std::string_view name);

// An axis that lies in the span of the axes before it: its index, and the indices of the axes that it is made
// of. A direction with fewer entries than another counts as if zeros followed.
struct DependentAxis {
    std::size_t axis = 0;
    std::vector<std::size_t> made_of;
};
std::vector<DependentAxis> dependent_axes(const std::vector<AdjustmentAxis>& axes);

}  // namespace isoseam
