#pragma once
// This header summarises the readings of black: their mean, and how noisy one reading is.

#include <Eigen/Core>

namespace isoseam {

struct Dark {
    Eigen::VectorXd mean;  // of each sample
    // The SD of one reading at each sample, without light.
    Eigen::VectorXd noise;
    int readings = 0;
    // If this is false, the noise follows from how ragged the single reading is.
    bool noise_from_repeats = false;
    // The largest departure of one reading's mean over wavelength from the mean of all readings.
    double drift = 0.0;
};

// `readings` has a row for each reading. There is at least one row, with at least three samples. The noise is
// that of the readings around their mean, smoothed over kNoiseWindow samples, since a few readings say little
// about one sample alone.
inline constexpr int kNoiseWindow = 21;
Dark dark_of(const Eigen::MatrixXd& readings);

}  // namespace isoseam
