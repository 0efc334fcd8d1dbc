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
    ScreenDetails details;                        // what these leave out, the table may tell
    std::optional<double> white_luminance_cd_m2;  // turns counts into radiance
    VerificationLimits limits;                    // written into the calibration
    int replicates = 200;                         // of the bootstrap
    std::uint64_t seed = 1;
};

struct ScreenFit {
    Calibration calibration;
    bool additive = true;  // also where no mixture was read: see the first of `tests`
    std::vector<std::vector<ToneCandidate>> tones;   // of each primary, the chosen form first
    std::vector<InteractionCandidate> interactions;  // the best first; empty without mixtures
    std::string interaction;                         // the name of those in the calibration, or "none"
    std::optional<double> contraction;               // of the interactions' inverse (see InteractionInverse)
    std::vector<ScreenTest> tests;
    double noise_share = 0.0;  // SD of one reading's samples as a share of their light
    double gain_noise = 0.0;   // SD of one reading's factor
    double black_noise = 0.0;  // RMS of one reading's noise without light, in the calibration's unit
    Uncertainty uncertainty;   // in the calibration's unit
    Xyz white;                 // modelled, in the calibration's unit
    std::vector<std::string> remarks;
};

// InputErrors: those of sort_readings; a luminance of white for readings in W/(sr m2 nm), or for none of
// white and primaries that would be implausible; primaries that are nearly the same or dependent.
ScreenFit fit_screen(const Readings& readings, const std::string& file, const ScreenFitOptions& options);

}  // namespace isoseam
