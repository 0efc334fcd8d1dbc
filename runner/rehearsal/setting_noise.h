#pragma once
// The noise of a simulated observer's settings and answers, as a root of its covariance in L, M, S contrast:
// noise = root * three independent standard normal deviates.

#include <Eigen/Core>
#include <string>

#include "runner/rehearsal/simulated_observer.h"

namespace isoseam {

enum class NoiseKind {
    cones,  // The noise is independent in L, M and S contrast.
    // The noise in x, y is that of the published ellipse nearest to the light (macadam_ellipses.h). Noise in luminance is added.
    ellipses,
};
std::string to_string(NoiseKind kind);
NoiseKind parse_noise(const std::string& word);  // InputError that lists the words

struct SettingNoise {
    // The standard deviations in cone contrast, for the kind `cones`.
    double l = 0.005;
    double m = 0.005;
    double s = 0.02;
    // For the kind `ellipses`: the relative standard deviation along luminance (CIE 1931) at one
    // chromaticity. The value is our own choice, because the ellipses were measured at constant luminance.
    double luminance = 0.01;
    NoiseKind kind = NoiseKind::cones;
};

// The noise root for settings around one light of a screen. The light's chromaticity chooses the ellipse. The
// root is exact to first order in the noise.
Eigen::Matrix3d noise_root(const SettingNoise& noise, const EyeOnScreen& eye, const LinearDrive& light);

}  // namespace isoseam
