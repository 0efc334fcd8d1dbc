#pragma once
// Makes a calibration from a table of readings, and keeps everything that was found on the way.
//
//     const ScreenFit fit = fit_screen(parse_readings(text, path), path, {});

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "calibration/calibration.h"
#include "calibration/fit/bootstrap.h"
#include "calibration/fit/interaction_fit.h"
#include "calibration/fit/screen_tests.h"
#include "calibration/screen_details.h"

namespace isoseam {

struct ScreenFitOptions {
    // If these details leave something out, the table may give it.
    ScreenDetails details;
    std::optional<double> white_luminance_cd_m2;  // turns counts into radiance
    VerificationLimits limits;                    // written into the calibration
    int replicates = 200;                         // of the bootstrap
    std::uint64_t seed = 1;
};

struct ScreenFit {
    Calibration calibration;
    // It is true also if no mixture was read: see the first of `tests`.
    bool additive = true;
    // The candidates of each primary, with the chosen form first.
    std::vector<std::vector<ToneCandidate>> tones;
    // The best candidate stands first. The list is empty without mixtures.
    std::vector<InteractionCandidate> interactions;
    // The name of the interactions in the calibration, or "none".
    std::string interaction;
    // The contraction of the interactions' inverse (see InteractionInverse).
    std::optional<double> contraction;
    std::vector<ScreenTest> tests;
    // The SD of the samples of one reading, as a share of their light.
    double noise_share = 0.0;
    // The SD of the factor of one reading.
    double gain_noise = 0.0;
    // The RMS of the noise of one reading without light, in the calibration's unit.
    double black_noise = 0.0;
    Uncertainty uncertainty;  // in the calibration's unit
    Xyz white;                // modelled, in the calibration's unit
    std::vector<std::string> remarks;
};

// Throws the InputErrors of sort_readings. It also throws one if a luminance of white is given for readings
// in W/(sr m2 nm), if readings in this unit would give white an implausible luminance, and if primaries are
// nearly the same or dependent.
ScreenFit fit_screen(const Readings& readings, const std::string& file, const ScreenFitOptions& options);

}  // namespace isoseam
