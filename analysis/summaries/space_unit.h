#pragma once
// How the coordinates of an adjustment space, or the levels of a task along them, are shown to people.
//
//     const SpaceUnit unit = unit_of_space(row.space);
//     unit.words(row.mean) + " " + unit.name    // "1.250 % contrast"

#include <optional>
#include <string>

#include "analysis/fits/psychometric_fit.h"
#include "analysis/statistics/interval.h"
#include "analysis/summaries/value_words.h"

namespace isoseam {

struct SpaceUnit {
    double factor = 1.0;  // from coordinates to what is shown
    int decimals = 0;
    std::string name;

    std::string words(double value) const;
    // Gives "n.d." if there is no value.
    std::string words(const std::optional<double>& value) const;
    // Gives "a to b", or "n.d." if there is no interval.
    std::string words(const std::optional<Interval>& interval) const;
    // An end without a value is open: "from a", "up to b", "open".
    std::string words(const FitInterval& interval) const;
};
inline const SpaceUnit kInPercent{kPercent, 3, "%"};
inline const SpaceUnit kInThousandths{kThousandths, 3, ""};

// `space` is a word of the record: "cone_contrast", "macleod_boynton" or "primaries". Percentages are shown
// with `percent_decimals` decimals.
SpaceUnit unit_of_space(const std::string& space, int percent_decimals = 3);
// `coordinate` is the name of an axis, "contrast L" (M, S), or "l" or "s" of MacLeod and Boynton's
// chromaticity. Contrasts are shown in percent and chromaticities in thousandths, under the names given; an
// axis is shown as `along_axes` says.
SpaceUnit unit_of_coordinate(const std::string& coordinate, const SpaceUnit& along_axes,
                             const std::string& contrast_name, const std::string& chromaticity_name);
// Gives how the numbers of slopes are shown. The slope of a weibull has no unit; of the other forms it is per
// unit of level.
SpaceUnit unit_of_slope(PsychometricForm form, const SpaceUnit& of_level, int decimals);

}  // namespace isoseam
