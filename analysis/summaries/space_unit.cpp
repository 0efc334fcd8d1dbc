#include "analysis/summaries/space_unit.h"

#include <fmt/format.h>

#include "analysis/summaries/text_layout.h"

namespace isoseam {

std::string SpaceUnit::words(double value) const {
    return fixed(factor * value, decimals);
}

std::string SpaceUnit::words(const std::optional<double>& value) const {
    return value ? words(*value) : "n.d.";
}

std::string SpaceUnit::words(const std::optional<Interval>& interval) const {
    return interval ? fmt::format("{} to {}", words(interval->low), words(interval->high)) : "n.d.";
}

std::string SpaceUnit::words(const FitInterval& interval) const {
    if (!interval.low && !interval.high)
        return "open";
    if (!interval.low)
        return "up to " + words(*interval.high);
    if (!interval.high)
        return "from " + words(*interval.low);
    return words(Interval{*interval.low, *interval.high});
}

SpaceUnit unit_of_space(const std::string& space, int percent_decimals) {
    if (space == "macleod_boynton")
        return {1.0, 6, "difference"};
    return {kPercent, percent_decimals, space == "primaries" ? "% of drive" : "% contrast"};
}

SpaceUnit unit_of_coordinate(const std::string& coordinate, const SpaceUnit& along_axes,
                             const std::string& contrast_name, const std::string& chromaticity_name) {
    if (coordinate.starts_with("contrast "))
        return {kPercent, kInPercent.decimals, contrast_name};
    if (coordinate == "l" || coordinate == "s")
        return {kThousandths, kInThousandths.decimals, chromaticity_name};
    return along_axes;
}

SpaceUnit unit_of_slope(PsychometricForm form, const SpaceUnit& of_level, int decimals) {
    return {form == PsychometricForm::weibull ? 1.0 : 1.0 / of_level.factor, decimals, ""};
}

}  // namespace isoseam
