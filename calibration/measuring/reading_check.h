#pragma once
// Judges whether a spectrum can be what it should be: a reading of this screen, in the unit and on the
// wavelengths of the readings before.

#include <optional>
#include <string>
#include <vector>

#include "calibration/measuring/measuring_state.h"

namespace isoseam {

// The fault of a spectrum, with a way out; nothing when it may be kept. `shown`: what the screen showed.
//   garbled      wavelengths and values do not match, do not rise or are not finite
//   implausible  wavelengths that are no visible light (micrometres?); a white whose luminance no screen has
//                (another unit?); a white that is dark (the lid is on?)
//   changed      other wavelengths than before; a white that differs from those before by more than half
//   negative     below no light by more than noise could make it
//   saturated    a flat top: neighbouring samples of the very same value, as large as the largest ever seen
std::optional<ReadingFailure> reading_fault(const MeasuringState& state, const ShownPatch& shown,
                                            const InstrumentSpectrum& spectrum, ReadingUnit unit);

// Negative beyond noise: a total below this share of white's, or a sample below this share of white's
// largest.
inline constexpr double kMostNegativeTotal = 0.003;
inline constexpr double kMostNegativeSample = 0.03;
// A white this far from the median white is no drift.
inline constexpr double kMostWhiteChange = 0.5;
// Luminance that a screen's white may have, cd/m2.
inline constexpr double kLeastWhiteCdM2 = 0.5;
inline constexpr double kMostWhiteCdM2 = 50000.0;
// So many neighbouring samples of one value are a flat top.
inline constexpr int kFlatTopSamples = 4;

// What an instrument's range of wavelengths leaves out of the cones' sensitivities (CIE 170-1, 2 degrees, 32
// years), and how much that matters: for each cone the share of its sensitivity that lies outside and, if the
// light went on outside as it is at the ends of the range, the share of the cone's excitation that would be
// missed. One line of words each; empty when no cone misses a thousandth. `white` with positive total.
std::vector<std::string> range_advice(const InstrumentSpectrum& white);

}  // namespace isoseam
