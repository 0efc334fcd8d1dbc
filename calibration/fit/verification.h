#pragma once
// A verification compares a calibration with readings that its fit has never used.
//
//     const bool good = verify(read_calibration("left.yaml"), readings, "readings.csv").passed;

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "calibration/calibration.h"
#include "calibration/readings.h"

namespace isoseam {

// This compares, for one colour, what was read (the mean of its readings) with what the calibration predicts.
struct ColourError {
    Drive drive;
    int line = 0;  // of its first reading
    int readings = 0;
    double de2000 = 0.0;  // CIELAB of CIE 1931, relative to white
    // The distance in u'v'. There is none for colours below 1 % of white's luminance.
    std::optional<double> uv;
    // The predicted minus the read luminance, in per cent of that of white.
    double luminance_percent = 0.0;
    // The predicted minus the read excitation of each cone, in per cent of the excitation by a grey with half
    // the light of white. This is the error that a cone contrast on such a grey would have.
    Eigen::Vector3d cone_contrast_percent;
};

// These are of absolute values. All are NaN if there are no values.
struct ErrorSummary {
    double mean, median, percentile_95, max;
};

struct Verification {
    std::vector<ColourError> colours;
    ErrorSummary de2000, uv, luminance_percent;
    std::array<ErrorSummary, 3> cone_contrast_percent;  // L, M, S
    ErrorSummary any_cone_contrast_percent;             // the largest of the three cones for each colour
    VerificationLimits limits;
    bool limits_from_file = false;
    // If this is false, the calibration's white is used.
    bool white_was_read = false;
    // True if both were compared relative to their whites, because their units differ.
    bool relative = false;
    bool passed = false;
    std::string words;  // the verdict
    std::vector<std::string> remarks;
};

// Compares the readings of steps whose names begin with "verification". If there are none, it compares all
// readings at the patch that most of them have. Throws InputErrors for another number of primaries, for
// spectra that reading_checks.h refuses, and if units differ and there is no white to compare by.
Verification verify(const Calibration& calibration, const Readings& readings, const std::string& file);

// Percentiles are linear between order statistics.
ErrorSummary summary_of(std::vector<double> absolute_values);

}  // namespace isoseam
