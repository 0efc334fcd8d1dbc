#pragma once
// Everything that readings tell of a screen and of a calibration of it, gathered for a report.

#include <optional>
#include <string>
#include <vector>

#include "analysis/figures/calibration_figure.h"
#include "calibration/fit/screen_fit.h"
#include "calibration/fit/verification.h"

namespace isoseam {

struct CalibrationReportInput {
    Readings readings;
    std::string readings_file;
    // If there is none, the report is on the calibration that the fit gives.
    std::optional<Calibration> calibration;
    // If there are none, the steps of `readings` whose names begin with "verification" are used, if there are
    // any.
    std::optional<Readings> verification;
    std::string verification_file;
    // If a calibration is given, its details and its luminance of white replace those of these options.
    ScreenFitOptions options;
};

// How many readings of which kind the fit used.
struct ReadingCounts {
    int all = 0;
    int black = 0;
    int left_out = 0;
    // The number of levels above 0 that were read of each primary.
    std::vector<int> levels;
    // The number of colours made of two or more primaries.
    int mixtures = 0;
};

struct CalibrationEvidence {
    ScreenFit fit;
    // The calibration that the report is on.
    Calibration calibration;
    // The largest departure of a given calibration from the calibration of the fit. Spectra are compared as a
    // share of the largest sample of the primaries, and tone responses as a share of full light. The
    // departure is infinite if primaries, wavelengths or interactions differ, and nullopt if no calibration
    // was given.
    std::optional<double> departure_from_fit;
    ReadingCounts counts;
    // The unit in which the readings were read.
    ReadingUnit unit = ReadingUnit::counts;
    PatchPlace patch;
    bool drift_taken_out = false;
    std::vector<double> wavelengths_nm;
    std::vector<ToneFigureCurve> tones;
    std::vector<AdditivityError> additivity;
    // This is empty if there are fewer than two readings of white.
    WhitesOverTime whites;
    // The usual place stands first. The list is empty if white was read at no other place.
    std::vector<WhiteAtPlace> places;
    // The usual area stands first. The list is empty if white was read with no other area.
    std::vector<WhiteOfArea> sizes;
    std::optional<Verification> verification;
    // The number of verification readings that the fit has used too.
    int verified_and_fitted = 0;
};

// If the departure is larger than this, the calibration does not follow from the readings: the difference is
// more than the rounding of numbers in its file.
inline constexpr double kSameCalibration = 1e-6;

// Throws the InputErrors of fit_screen and of verify.
CalibrationEvidence gather_evidence(const CalibrationReportInput& input);

// Whether the calibration knows the value of a key, as in Calibration::unknown.
bool is_told(const Calibration& calibration, const std::string& key);

}  // namespace isoseam
