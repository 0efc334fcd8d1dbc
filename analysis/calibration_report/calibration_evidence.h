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
    std::optional<Calibration> calibration;  // none: that of the fit
    std::optional<Readings> verification;  // none: the readings' own, of steps named verification..., if any
    std::string verification_file;
    ScreenFitOptions
        options;  // where a calibration is given, its details and luminance of white come from it
};

// How many readings of which kind the fit used.
struct ReadingCounts {
    int all = 0;
    int black = 0;
    int left_out = 0;
    std::vector<int> levels;  // above 0, of each primary
    int mixtures = 0;         // colours of two or more primaries
};

struct CalibrationEvidence {
    ScreenFit fit;
    Calibration calibration;  // the one reported on
    // The largest departure of a given calibration from the fit's: of its spectra, as a share of the largest
    // sample of the primaries, and of its tone responses, as a share of full light; infinite where primaries,
    // wavelengths or interactions differ. nullopt where none was given.
    std::optional<double> departure_from_fit;
    ReadingCounts counts;
    ReadingUnit unit = ReadingUnit::counts;  // of the readings as they were read
    PatchPlace patch;
    bool drift_taken_out = false;
    std::vector<double> wavelengths_nm;
    std::vector<ToneFigureCurve> tones;
    std::vector<AdditivityError> additivity;
    WhitesOverTime whites;             // empty for fewer than two
    std::vector<WhiteAtPlace> places;  // the usual one first; empty where white was read nowhere else
    std::vector<WhiteOfArea> sizes;    // the same
    std::optional<Verification> verification;
    int verified_and_fitted = 0;  // readings of the verification that the fit has seen
};

// Above this a calibration does not follow from the readings: more than rounding in its file.
inline constexpr double kSameCalibration = 1e-6;

// InputErrors: those of fit_screen and verify.
CalibrationEvidence gather_evidence(const CalibrationReportInput& input);

// Whether the calibration knows the value of a key, as in Calibration::unknown.
bool is_told(const Calibration& calibration, const std::string& key);

}  // namespace isoseam
