#pragma once
// What is known of a screen as figures: its primaries, tone responses, gamut, and how far a model of it
// holds.

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
// `quantity` names the values and their unit. Each primary in a dash of its own, with its name at its curve.
Figure primaries_figure(const std::string& quantity, const std::vector<SpectrumCurve>& primaries);

struct ToneFigureCurve {
    std::string name;                            // of the primary
    std::vector<double> drive, light;            // the fitted curve, both 0 to 1
    std::vector<double> read_drive, read_light;  // the levels that were read
    std::vector<double> residual;                // of each level, read less fitted, in CIE lightness
};
// Up to three primaries beside each other, each with its residuals below; more go into further rows.
Figure tone_figure(const std::vector<ToneFigureCurve>& curves);

struct FormScores {
    std::string name;            // of the primary
    std::vector<double> scores;  // one for each form; NaN where there is none
};
Figure score_figure(const std::vector<std::string>& forms, const std::vector<FormScores>& primaries);

using ConePercent = std::array<double, 3>;  // L, M, S

// Read less the sum of the primaries, in % of white's excitation, one for each mixture; lines at the limit.
Figure additivity_figure(const std::vector<ConePercent>& mixtures, double limit_percent);

// Errors of each colour, in the order of the readings; lines at the limits (of the largest).
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
// The primaries and what lies between them, inside the spectral locus (CIE 1931, drawn from 380 to 700 nm).
Figure gamut_figure(const std::vector<NamedChromaticity>& primaries, const NamedChromaticity& white);

struct WhitesOverTime {
    bool timed = false;            // else `at` counts readings
    std::vector<double> at;        // minutes
    std::vector<double> percent;   // departure of each reading from their mean
    std::vector<double> curve_at;  // the curve that was taken out of the readings; may be empty
    std::vector<double> curve_percent;
};
Figure drift_figure(const WhitesOverTime& whites);

// White elsewhere against white at the usual place, whose departure is 0.
struct WhiteAtPlace {
    double x = 0.0;  // of the patch's centre, as fractions of the screen
    double y = 0.0;
    double percent = 0.0;
};
Figure uniformity_figure(const std::vector<WhiteAtPlace>& places);

struct WhiteOfArea {
    double area_percent = 0.0;  // of the screen
    double percent = 0.0;       // departure from white on the usual patch
};
Figure area_figure(const std::vector<WhiteOfArea>& sizes);

}  // namespace isoseam
