#pragma once
// The noise of a simulated observer's settings and answers, as a root of its covariance in L, M, S contrast:
// noise = root * three independent standard normal deviates.

#include <Eigen/Core>
#include <string>

#include "runner/rehearsal/simulated_observer.h"

namespace isoseam {

enum class NoiseKind {
    cones,     // independent in L, M and S contrast
    ellipses,  // in x, y as the published ellipse nearest to the light (macadam_ellipses.h), and in
               // luminance
};
std::string to_string(NoiseKind kind);
NoiseKind parse_noise(const std::string& word);  // InputError that lists the words

struct SettingNoise {
    // Standard deviations in cone contrast, of `cones`.
    double l = 0.005;
    double m = 0.005;
    double s = 0.02;
    // Of `ellipses`: relative standard deviation along luminance (CIE 1931) at one chromaticity. Our own
    // choice: the ellipses were measured at constant luminance.
    double luminance = 0.01;
    NoiseKind kind = NoiseKind::cones;
};

// For settings around one light of a screen, whose chromaticity picks the ellipse. Exact to first order in
// the noise.
Eigen::Matrix3d noise_root(const SettingNoise& noise, const EyeOnScreen& eye, const LinearDrive& light);

}  // namespace isoseam
