#pragma once
// These are intervals of variances that are estimated by mean squares. A mean square over its expectation is
// chi-square over its degrees of freedom.

#include "analysis/statistics/interval.h"

namespace isoseam {

struct MeanSquare {
    double value = 0.0;
    double degrees = 0.0;  // above 0
};

// The interval of a mean square's expectation, exact.
Interval expectation_interval_95(const MeanSquare& square);

// The interval of (expectation of `first` - expectation of `second`) / n by the modified large-sample method
// of Ting, Burdick, Graybill, Jeyaratnam & Lu 1990 (Journal of Statistical Computation and Simulation 35,
// 135; from memory). The two are independent. It may reach below 0.
Interval difference_interval_95(const MeanSquare& first, const MeanSquare& second, double n);

}  // namespace isoseam
