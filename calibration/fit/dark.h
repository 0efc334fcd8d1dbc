#pragma once
// The readings of black: their mean, and how noisy one reading is.

#include <Eigen/Core>

namespace isoseam {

struct Dark {
    Eigen::VectorXd mean;   // of each sample
    Eigen::VectorXd noise;  // SD of one reading at each sample, without light
    int readings = 0;
    bool noise_from_repeats = false;  // false: from how ragged the one reading is
    double drift = 0.0;  // the largest departure of one reading's mean over wavelength from the mean of all
};

// `readings` has a row for each reading, at least one, with at least three samples. The noise is that of the
// readings around their mean, smoothed over kNoiseWindow samples, since a few readings tell little of one
// sample alone.
inline constexpr int kNoiseWindow = 21;
Dark dark_of(const Eigen::MatrixXd& readings);

}  // namespace isoseam
