#pragma once
// What ratings tell of how well signal and noise were told apart: the curve of hits against false alarms over
// all levels of caution (ROC), its area, and the normal curve with two spreads under which the ratings are
// most likely.
//
//     const RatingCounts counts{{3, 2, 2, 11, 33}, {33, 6, 6, 11, 2}};
//     roc_area(counts).area                                            // 0.8932
//     if (const auto fit = fit_binormal(counts)) use(fit->d_a);        // 1.908

#include <optional>
#include <vector>

#include "analysis/statistics/interval.h"

namespace isoseam {

// The number of ratings in each category, 1, 2 and so on; the higher the category, the surer of a signal.
struct RatingCounts {
    std::vector<int> signal;
    std::vector<int> noise;  // as many categories
};

struct RocPoint {
    double false_alarms = 0.0;  // rates
    double hits = 0.0;
};
// From (0, 0) to (1, 1), one point more than categories: the first counts no category as a yes, the last all.
// ISOSEAM_CHECK for this and all below: two categories or more, as many for signal as for noise, no count
// below 0 and a rating of signal and of noise at least.
std::vector<RocPoint> roc_points(const RatingCounts& counts);

struct RocArea {
    // The area below the straight lines between the points: the probability that a signal is rated above a
    // noise, where equal ratings count half. Few categories make it smaller than that of the smooth curve.
    double area = 0.5;
    // By DeLong, DeLong & Clarke-Pearson 1988, Biometrics 44, 837. None from fewer than two ratings of a kind.
    std::optional<double> standard_error;
    // Normal in the logit of the area (common practice), so that it stays between 0 and 1. None where the
    // standard error is none or 0, as where the ratings of signal and noise do not overlap at all: so few
    // errors tell no spread.
    std::optional<Interval> interval_95;
};
RocArea roc_area(const RatingCounts& counts);

// Noise is normal with mean 0 and SD 1, signal with mean a / b and SD 1 / b, and ratings change at criteria
// on the same axis. The most likely a, b and criteria (Dorfman & Alf 1969) by Fisher's scoring.
struct BinormalFit {
    double a = 0.0;
    double b = 1.0;
    // The distance of the means over the root of the mean of both variances: a sqrt(2 / (1 + b^2)). It equals
    // d' where the spreads are equal.
    double d_a = 0.0;
    double d_a_standard_error = 0.0;  // from the expected information
    Interval d_a_95;                  // normal
    double area = 0.5;                // of the smooth curve: phi(d_a / sqrt 2)
};
// None where the ratings do not determine it: fewer than three categories in use, or a likelihood that still
// grows at the border of the search, as where signal and noise share no category or too few.
std::optional<BinormalFit> fit_binormal(const RatingCounts& counts);

}  // namespace isoseam
