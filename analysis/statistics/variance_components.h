#pragma once
// This header says how much of the scatter is within observers and how much is between them: y_ij = mean +
// b_i + e_ij, where b and e are independent and normal (one-way random effects; observers may have made
// different numbers of settings).
//
// The estimates come from analysis of variance: within = MSW and between = (MSB - MSW) / n0, with n0 = (N -
// sum n_i^2 / N) / (k - 1). mean_square_intervals.h has the methods of the intervals; that of `within` is
// exact. If the n_i differ, that of `between` uses the mean square of the unweighted means and the harmonic
// mean of the n_i (Thomas & Hultquist 1978, Annals of Statistics 6, 582). Burdick & Graybill 1992 describe
// both. (Sources from memory; a test shows the coverage.)

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "analysis/statistics/interval.h"

namespace isoseam {

struct VarianceComponents {
    std::size_t observers = 0;
    std::size_t settings = 0;
    // The mean of the observers' means. Each observer has the same weight.
    double mean = 0.0;
    // The interval by the spread of these means, from Student's t.
    Interval mean_95;
    double within = 0.0;  // variance
    Interval within_95;
    // The variance between observers. It is negative if observers' means differ less than chance would make
    // them differ.
    double between = 0.0;
    Interval between_95;  // cut at 0
    // The probability of an F = MSB / MSW at least so large if observers do not differ.
    double p = 1.0;
    // Whether the interval of `between` lies above 0.
    bool observers_differ() const { return between_95.low > 0.0; }
};

// Each entry of `values` holds the values of one observer, and none is empty. There is no result for fewer
// than two observers, if no observer has two settings, or if no setting differs from its observer's mean.
std::optional<VarianceComponents> variance_components(std::span<const std::vector<double>> values);

}  // namespace isoseam
