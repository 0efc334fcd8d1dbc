#include <fmt/format.h>

#include <cmath>
#include <limits>

#include "analysis/calibration_report/calibration_report.h"
#include "analysis/calibration_report/report_words.h"
#include "colorimetry/colour_space.h"

namespace isoseam {
namespace {

ReportFigure spectra(const ScreenFit& fit) {
    const double factor = fit.calibration.scale_known ? 1e3 : 1.0;
    std::vector<SpectrumCurve> curves;
    for (const Primary& primary : fit.calibration.primaries) {
        curves.push_back({primary.name, primary.spectrum.wavelengths_nm(), primary.spectrum.values()});
        for (double& value : curves.back().values)
            value *= factor;
    }
    return {"spectra", "Spectra of the primaries at full drive, black subtracted.",
            primaries_figure(fit.calibration.scale_known ? "spectral radiance, mW/(sr m\u00b2 nm)" : "counts",
                             curves)};
}

ReportFigure scores(const ScreenFit& fit) {
    std::vector<std::string> forms;
    for (const ToneCandidate& candidate : fit.tones.front())
        forms.push_back(to_string(candidate.form));
    std::vector<FormScores> primaries;
    for (std::size_t i = 0; i < fit.tones.size(); ++i) {
        FormScores one{fit.calibration.primaries[i].name, {}};
        for (const std::string& form : forms) {
            one.scores.push_back(std::numeric_limits<double>::quiet_NaN());
            for (const ToneCandidate& candidate : fit.tones[i]) {
                if (to_string(candidate.form) == form && candidate.score)
                    one.scores.back() = *candidate.score;
            }
        }
        primaries.push_back(one);
    }
    return {"scores", "Error of each form of tone response on levels that it has not seen, in CIE lightness.",
            score_figure(forms, primaries)};
}

ReportFigure gamut(const ScreenFit& fit) {
    const auto named = [](const std::string& name, const Xyz& xyz) {
        const UniformChromaticity uvy = uniform_chromaticity_from_xyz(xyz);
        return NamedChromaticity{name, uvy.u_prime, uvy.v_prime};
    };
    std::vector<NamedChromaticity> primaries;
    for (const Primary& primary : fit.calibration.primaries)
        primaries.push_back(named(primary.name, tristimulus(primary.spectrum)));
    return {"gamut", "Primaries (black subtracted) and white in u\u2032, v\u2032 (CIE 1976).",
            gamut_figure(primaries, named("white", fit.white))};
}

ReportFigure additivity(const CalibrationEvidence& evidence) {
    std::vector<ConePercent> percents;
    for (const AdditivityError& error : evidence.additivity)
        percents.push_back({100.0 * error.cones[0], 100.0 * error.cones[1], 100.0 * error.cones[2]});
    return {"additivity",
            "Readings of several primaries less the sum of these primaries, in % of white's excitation.",
            additivity_figure(percents, kAdditivityLimitPercent)};
}

ReportFigure verification(const Verification& result) {
    VerificationErrors errors;
    errors.de2000_limit = result.limits.max_de2000;
    errors.cone_contrast_limit_percent = result.limits.cone_contrast_error_percent;
    for (const ColourError& colour : result.colours) {
        const Eigen::Vector3d& cones = colour.cone_contrast_percent;
        errors.de2000.push_back(colour.de2000);
        errors.cone_contrast_percent.push_back({cones[0], cones[1], cones[2]});
    }
    return {"verification", "Errors of each colour of the verification.", verification_figure(errors)};
}

}  // namespace

std::vector<ReportFigure> report_figures(const CalibrationEvidence& evidence) {
    std::vector<ReportFigure> figures{
        spectra(evidence.fit),
        {"tone", "Light of each primary against its drive, and the residuals of the fit in CIE lightness.",
         tone_figure(evidence.tones)},
        scores(evidence.fit)};
    if (!evidence.additivity.empty())
        figures.push_back(additivity(evidence));
    if (evidence.verification && !evidence.verification->colours.empty())
        figures.push_back(verification(*evidence.verification));
    figures.push_back(gamut(evidence.fit));
    if (!evidence.whites.at.empty())
        figures.push_back({"drift", "White while the screen was measured.", drift_figure(evidence.whites)});
    if (!evidence.places.empty())
        figures.push_back({"uniformity",
                           "Luminance of white at places of the screen; x and y as in the table of readings.",
                           uniformity_figure(evidence.places)});
    if (!evidence.sizes.empty())
        figures.push_back(
            {"area", "Luminance of white on patches of other sizes.", area_figure(evidence.sizes)});
    return figures;
}

}  // namespace isoseam
