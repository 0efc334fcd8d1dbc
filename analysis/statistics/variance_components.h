#pragma once
// How much of the scatter is within observers and how much is between them: y_ij = mean + b_i + e_ij, b and e
// independent and normal (one-way random effects; observers may have made different numbers of settings).
//
// Estimates: analysis of variance, within = MSW, between = (MSB - MSW) / n0 with
// n0 = (N - sum n_i^2 / N) / (k - 1).
// Intervals: within by chi-square, exact. Between by the modified large-sample method of Ting, Burdick,
// Graybill, Jeyaratnam & Lu 1990 (Journal of Statistical Computation and Simulation 35, 135), with the mean
// square of the unweighted means and the harmonic mean of the n_i where these differ (Thomas & Hultquist
// 1978, Annals of Statistics 6, 582), as Burdick & Graybill 1992 set both out. (Sources from memory; a test
// shows the coverage.)

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "analysis/statistics/interval.h"

namespace isoseam {

struct VarianceComponents {
    std::size_t observers = 0;
    std::size_t settings = 0;
    double mean = 0.0;    // of the observers' means, each with the same weight
    Interval mean_95;     // by their spread, Student's t
    double within = 0.0;  // variance
    Interval within_95;
    double between = 0.0;  // variance; negative where observers' means differ less than chance would have it
    Interval between_95;   // cut at 0
    double p = 1.0;        // of F = MSB / MSW at least so large where observers do not differ
    // Whether the interval of `between` lies above 0.
    bool observers_differ() const { return between_95.low > 0.0; }
};

// `values`: of one observer each, none empty. None for fewer than two observers, where none has two settings,
// or where no setting differs from its observer's mean.
std::optional<VarianceComponents> variance_components(std::span<const std::vector<double>> values);

}  // namespace isoseam
