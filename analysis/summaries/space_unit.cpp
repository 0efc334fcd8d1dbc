#include "analysis/summaries/space_unit.h"

namespace isoseam {

SpaceUnit unit_of_space(const std::string& space, int percent_decimals) {
    constexpr double kPercent = 100.0;
    if (space == "macleod_boynton")
        return {1.0, 6, "difference"};
    return {kPercent, percent_decimals, space == "primaries" ? "% of drive" : "% contrast"};
}

}  // namespace isoseam
