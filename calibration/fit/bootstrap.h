#pragma once
// Tells how sure the fitted numbers are, by repeating the fit on readings that might as well have been taken.

#include <cstdint>
#include <vector>

#include "calibration/fit/emission_fit.h"
#include "calibration/fit/response_weights.h"

namespace isoseam {

// This describes how one reading departs from its light: at each sample independently, with SD sqrt(dark^2 +
// (share light)^2), and as a whole, by a factor. Both follow from the residuals of the fit.
struct ReadingNoise {
    Eigen::VectorXd dark;
    double share = 0.0;
    double gain = 0.0;  // SD of the factor
    // If this is false, the gain follows from the residuals of the tone responses. For tone responses given
    // as points it is then not known (0).
    bool gain_from_repeats = false;
    std::vector<double> sample_pool;  // standardised residuals: mean 0, SD 1
};
ReadingNoise noise_of(const EmissionFit& fit, const SortedReadings& readings);

// These are the standard deviations of what was fitted.
struct Uncertainty {
    Eigen::VectorXd black;
    Eigen::MatrixXd primaries;
    // For each primary, those of the parameters, or of the light at each point of the curve.
    std::vector<std::vector<double>> tones;
    Eigen::MatrixXd term_spectra;
    Eigen::VectorXd white_xyz;      // 3
    Eigen::MatrixXd primaries_xyz;  // columns are primaries
    Eigen::MatrixXd primaries_lms;
    // The standard deviations of the linear light of each primary at the drives 1/4, 1/2 and 3/4 (rows).
    Eigen::MatrixXd linear_at_quarters;
    int replicates = 0;
};

// Draws readings around the fit from the pool of its residuals and fits them again, in the same form. Each
// replicate is a function of (seed, replicate) alone. ISOSEAM_CHECK: there are at least 2 replicates.
Uncertainty bootstrap(const EmissionFit& fit, const SortedReadings& readings, const ResponseWeights& weights,
                      const ReadingNoise& noise, int replicates, std::uint64_t seed);

}  // namespace isoseam
