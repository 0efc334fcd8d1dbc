#pragma once
// A calibration against readings that its fit has never seen.
//
//     const bool good = verify(read_calibration("left.yaml"), readings, "readings.csv").passed;

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "calibration/calibration.h"
#include "calibration/readings.h"

namespace isoseam {

// One colour: what was read (the mean of its readings) against what the calibration foretells.
struct ColourError {
    Drive drive;
    int line = 0;  // of its first reading
    int readings = 0;
    double de2000 = 0.0;             // CIELAB of CIE 1931, relative to white
    std::optional<double> uv;        // distance in u'v'; nothing for colours below 1 % of white's luminance
    double luminance_percent = 0.0;  // foretold less read, of white's
    // Foretold less read, per cone, of the excitation of a grey with half the light of white: the error that
    // a cone contrast on such a grey would have.
    Eigen::Vector3d cone_contrast_percent;
};

struct ErrorSummary {  // of absolute values; all NaN without any
    double mean, median, percentile_95, max;
};

struct Verification {
    std::vector<ColourError> colours;
    ErrorSummary de2000, uv, luminance_percent;
    std::array<ErrorSummary, 3> cone_contrast_percent;  // L, M, S
    ErrorSummary any_cone_contrast_percent;             // the largest of the three cones for each colour
    VerificationLimits limits;
    bool limits_from_file = false;
    bool white_was_read = false;  // else white is the calibration's
    bool relative = false;        // both were compared relative to their whites, as their units differ
    bool passed = false;
    std::string words;  // the verdict
    std::vector<std::string> remarks;
};

// Compares the readings of steps named verification... if there are any, else all readings at the patch that
// most of them have. InputErrors: another number of primaries, spectra as in reading_checks.h, units that
// differ and no white to compare by.
Verification verify(const Calibration& calibration, const Readings& readings, const std::string& file);

// Percentiles are linear between order statistics.
ErrorSummary summary_of(std::vector<double> absolute_values);

}  // namespace isoseam
