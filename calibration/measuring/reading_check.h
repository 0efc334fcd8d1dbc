#pragma once
// This check judges whether a spectrum can be what it should be: a reading of this screen, in the unit and on
// the wavelengths of the readings before.

#include <optional>
#include <string>
#include <vector>

#include "calibration/measuring/measuring_state.h"

namespace isoseam {

// Gives the fault of a spectrum, with a way out, or nothing if the reading may be kept. `shown` is what the
// screen showed.
//   garbled      wavelengths and values do not match, do not rise or are not finite
//   implausible  wavelengths that are no visible light (micrometres?); a white whose luminance no screen has
//                (another unit?); a white that is dark (the lid is on?)
//   changed      other wavelengths than before; a white that differs from those before by more than half
//   negative     below no light by more than noise could make it
//   saturated    a flat top: neighbouring samples of the very same value, as large as the largest ever seen
std::optional<ReadingFailure> reading_fault(const MeasuringState& state, const ShownPatch& shown,
                                            const InstrumentSpectrum& spectrum, ReadingUnit unit);

// A reading is negative beyond noise if its total is below this share of white's total, or a sample is below
// this share of white's largest sample.
inline constexpr double kMostNegativeTotal = 0.003;
inline constexpr double kMostNegativeSample = 0.03;
// A white that differs this much from the median white is not drift.
inline constexpr double kMostWhiteChange = 0.5;
// This is the luminance that the white of a screen may have, in cd/m2.
inline constexpr double kLeastWhiteCdM2 = 0.5;
inline constexpr double kMostWhiteCdM2 = 50000.0;
// So many neighbouring samples of one value are a flat top.
inline constexpr int kFlatTopSamples = 4;

// Says what an instrument's range of wavelengths leaves out of the cones' sensitivities (CIE 170-1, 2
// degrees, 32 years), and how much that matters. For each cone it gives the share of its sensitivity that
// lies outside, and the share of its excitation that would be missed if the light outside continued as it is
// at the ends of the range. Each cone has one line of words. The list is empty if no cone misses a
// thousandth. `white` must have a positive total.
std::vector<std::string> range_advice(const InstrumentSpectrum& white);

}  // namespace isoseam
