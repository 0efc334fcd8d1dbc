#pragma once
// The tests say what a researcher should know about a screen before trusting a model of it. Each has a
// number, a limit and plain words.

#include <optional>
#include <string>
#include <vector>

#include "calibration/fit/interaction_fit.h"

namespace isoseam {

// The limits are our own unless their comment says otherwise.
// This is a share of the excitation of each cone by white (common practice).
inline constexpr double kAdditivityLimitPercent = 1.0;
inline constexpr double kChromaticityLimit = 0.005;      // in u'v'
inline constexpr double kDimmingLimitPercent = 2.0;      // of luminance
inline constexpr double kUniformityLimitPercent = 10.0;  // of luminance
inline constexpr double kDriftLimitPercent = 1.0;        // of white
inline constexpr double kBlackDriftLimitPercent = 0.1;   // of white, mean over wavelength

struct ScreenTest {
    std::string name;  // "additivity", "chromaticity_of_primaries", ...
    // There is no value if it could not be tested.
    std::optional<double> value;
    std::string unit;  // "%", "u'v'"
    double limit = 0.0;
    // The words say what was found, or why nothing was found.
    std::string words;
    bool passed() const { return !value || *value <= limit; }
};

// The tests stand in the order of the limits above. `additive` has no terms.
std::vector<ScreenTest> screen_tests(const EmissionFit& additive, const SortedReadings& readings,
                                     const ResponseWeights& weights);

}  // namespace isoseam
