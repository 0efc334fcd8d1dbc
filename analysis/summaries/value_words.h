#pragma once
// This header writes figures as words for people, on a terminal and in a report.

#include <string>

namespace isoseam {

inline constexpr double kPercent = 100.0;
inline constexpr double kThousandths = 1000.0;  // in which chromaticities are shown, since they are small

// The end of each statement that a summary is no diagnosis.
inline constexpr const char* kWhoDiagnoses =
    "screening and diagnosis of colour-vision deficiency belong to a qualified person with an approved "
    "instrument.";

std::string p_words(double p);  // "<0.001", "0.023"
// Gives L : M, or "no M".
std::string ratio_words(double ratio);

}  // namespace isoseam
