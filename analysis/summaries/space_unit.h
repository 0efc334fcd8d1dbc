#pragma once
// How the coordinates of an adjustment space, or the levels of a task along them, are shown to people.
//
//     const SpaceUnit unit = unit_of_space(row.space);
//     fixed(unit.factor * row.mean, unit.decimals) + " " + unit.name    // "1.250 % contrast"

#include <string>

namespace isoseam {

struct SpaceUnit {
    double factor = 1.0;  // from coordinates to what is shown
    int decimals = 0;
    std::string name;
};
// `space` is a word of the record: "cone_contrast", "macleod_boynton" or "primaries". Percentages are shown
// with `percent_decimals` decimals.
SpaceUnit unit_of_space(const std::string& space, int percent_decimals = 3);
// `coordinate` is the name of an axis, "contrast L" (M, S), or "l" or "s" of MacLeod and Boynton's
// chromaticity. Contrasts are shown in percent and chromaticities in thousandths, under the names given; an
// axis is shown as `along_axes` says.
SpaceUnit unit_of_coordinate(const std::string& coordinate, const SpaceUnit& along_axes,
                             const std::string& contrast_name, const std::string& chromaticity_name);

}  // namespace isoseam
