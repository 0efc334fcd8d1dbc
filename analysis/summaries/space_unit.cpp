#include "analysis/summaries/space_unit.h"

#include "analysis/summaries/value_words.h"

namespace isoseam {

SpaceUnit unit_of_space(const std::string& space, int percent_decimals) {
    if (space == "macleod_boynton")
        return {1.0, 6, "difference"};
    return {kPercent, percent_decimals, space == "primaries" ? "% of drive" : "% contrast"};
}

SpaceUnit unit_of_coordinate(const std::string& coordinate, const SpaceUnit& along_axes,
                             const std::string& contrast_name, const std::string& chromaticity_name) {
    constexpr int kDecimals = 3;
    if (coordinate.starts_with("contrast "))
        return {kPercent, kDecimals, contrast_name};
    if (coordinate == "l" || coordinate == "s")
        return {kThousandths, kDecimals, chromaticity_name};
    return along_axes;
}

}  // namespace isoseam
