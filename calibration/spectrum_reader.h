#pragma once
// Reads the wavelengths of a calibration file, and what stands on them sample by sample.

#include <functional>
#include <optional>
#include <vector>

#include "base/yaml_reader.h"
#include "colorimetry/spectrum.h"

namespace isoseam {

using Grid = std::vector<double>;  // wavelengths in nm, rising

// This is the range in which cones catch nearly all light of a screen. A calibration must reach over it.
inline constexpr double kCoveredFromNm = 400.0;
inline constexpr double kCoveredToNm = 700.0;
// Coarser samples do not describe the emission bands of a screen.
inline constexpr double kWidestStepNm = 20.0;

// Reads "{from: 380 nm, to: 780 nm, step: 5 nm}" or a list of nm, and notes the faults that README.md names.
std::optional<Grid> read_grid(const YamlNode& root);

// This says how far below 0 a sample may lie.
enum class Negative {
    never,         // light
    within_noise,  // light as read: down to kNoiseBelowZero times the noise of one reading
    any,           // a difference of lights, or counts with an instrument's dark signal
};
inline constexpr double kNoiseBelowZero = 5.0;

// Reads one number for each wavelength; returns nullopt where a fault was noted. `noise` is for
// Negative::within_noise.
std::optional<std::vector<double>> read_samples(const YamlNode& node, const std::optional<Grid>& grid,
                                                Negative negative, const std::vector<double>& noise);

}  // namespace isoseam
