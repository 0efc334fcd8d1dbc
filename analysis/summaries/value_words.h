#pragma once
// This header writes figures as words for people, on a terminal and in a report.
//
//     interval_words(row.setting[0].interval_95, kPercent, 3)  // "-0.120 to 0.310"

#include <optional>
#include <string>

#include "analysis/fits/psychometric_fit.h"
#include "analysis/statistics/interval.h"

namespace isoseam {

inline constexpr double kPercent = 100.0;
inline constexpr double kThousandths = 1000.0;  // in which chromaticities are shown, since they are small

std::string p_words(double p);  // "<0.001", "0.023"
// Gives the value times `factor`, or "n.d." if there is no value.
std::string value_words(const std::optional<double>& value, double factor, int decimals);
// Gives "a to b", or "n.d." if there is no interval.
std::string interval_words(const std::optional<Interval>& interval, double factor, int decimals);
// An end without a value is open: "from a", "up to b", "open".
std::string interval_words(const FitInterval& interval, double factor, int decimals);

}  // namespace isoseam
