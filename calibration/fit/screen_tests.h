#pragma once
// What a researcher should know of a screen before trusting a model of it: each a number, a limit and plain
// words.

#include <optional>
#include <string>
#include <vector>

#include "calibration/fit/interaction_fit.h"

namespace isoseam {

// The limits are our own unless their comment says otherwise.
inline constexpr double kAdditivityLimitPercent =
    1.0;                                             // of white's excitation of each cone (common practice)
inline constexpr double kChromaticityLimit = 0.005;  // in u'v'
inline constexpr double kDimmingLimitPercent = 2.0;  // of luminance
inline constexpr double kUniformityLimitPercent = 10.0;  // of luminance
inline constexpr double kDriftLimitPercent = 1.0;        // of white
inline constexpr double kBlackDriftLimitPercent = 0.1;   // of white, mean over wavelength

struct ScreenTest {
    std::string name;             // "additivity", "chromaticity_of_primaries", ...
    std::optional<double> value;  // nothing where it could not be tested
    std::string unit;             // "%", "u'v'"
    double limit = 0.0;
    std::string words;  // what was found, or why nothing was
    bool passed() const { return !value || *value <= limit; }
};

// The tests stand in the order of the limits above. `additive` has no terms.
std::vector<ScreenTest> screen_tests(const EmissionFit& additive, const SortedReadings& readings,
                                     const ResponseWeights& weights);

}  // namespace isoseam
