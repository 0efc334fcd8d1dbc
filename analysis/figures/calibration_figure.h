#pragma once
// These figures show what is known of a screen: its primaries, its tone responses, its gamut, and how far a
// model of the screen holds.

#include <array>
#include <string>
#include <vector>

#include "analysis/figures/figure.h"

namespace isoseam {

struct SpectrumCurve {
    std::string name;
    std::vector<double> wavelengths_nm;
    std::vector<double> values;
};
// `quantity` names the values and their unit. Each primary is drawn in a dash pattern of its own, and its
// name stands beside its curve.
Figure primaries_figure(const std::string& quantity, const std::vector<SpectrumCurve>& primaries);

struct ToneFigureCurve {
    std::string name;                            // of the primary
    std::vector<double> drive, light;            // the fitted curve, both 0 to 1
    std::vector<double> read_drive, read_light;  // the levels that were read
    // For each level, the reading minus the fitted value, in CIE lightness.
    std::vector<double> residual;
};
// Up to three primaries stand beside each other, each with its residuals below it. More primaries go into
// further rows.
Figure tone_figure(const std::vector<ToneFigureCurve>& curves);

struct FormScores {
    std::string name;  // of the primary
    // There is one score for each form. A score is NaN if the form has none.
    std::vector<double> scores;
};
Figure score_figure(const std::vector<std::string>& forms, const std::vector<FormScores>& primaries);

using ConePercent = std::array<double, 3>;  // L, M, S

// For each mixture the figure shows the reading minus the sum of the primaries, in per cent of the cone
// excitation of white. Lines stand at the limit.
Figure additivity_figure(const std::vector<ConePercent>& mixtures, double limit_percent);

// These are the errors of each colour, in the order of the readings. The figure has lines at the limits,
// which apply to the largest error.
struct VerificationErrors {
    std::vector<double> de2000;
    std::vector<ConePercent> cone_contrast_percent;
    double de2000_limit = 0.0;
    double cone_contrast_limit_percent = 0.0;
};
Figure verification_figure(const VerificationErrors& errors);

struct NamedChromaticity {
    std::string name;
    double u_prime = 0.0;
    double v_prime = 0.0;
};
// Draws the primaries and the colours between them, inside the spectral locus (CIE 1931, drawn from 380 to
// 700 nm).
Figure gamut_figure(const std::vector<NamedChromaticity>& primaries, const NamedChromaticity& white);

struct WhitesOverTime {
    // If this is false, `at` counts readings.
    bool timed = false;
    std::vector<double> at;  // minutes
    // The departure of each reading from the mean of all of them.
    std::vector<double> percent;
    // The drift curve that was taken out of the readings. It may be empty.
    std::vector<double> curve_at;
    std::vector<double> curve_percent;
};
Figure drift_figure(const WhitesOverTime& whites);

// This compares white at one place with white at the usual place, whose departure is 0.
struct WhiteAtPlace {
    // X and y are the centre of the patch, as fractions of the screen.
    double x = 0.0;
    double y = 0.0;
    double percent = 0.0;
};
Figure uniformity_figure(const std::vector<WhiteAtPlace>& places);

struct WhiteOfArea {
    double area_percent = 0.0;  // of the screen
    // The departure from white on the usual patch.
    double percent = 0.0;
};
Figure area_figure(const std::vector<WhiteOfArea>& sizes);

}  // namespace isoseam
