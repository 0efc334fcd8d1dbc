#pragma once
// This header describes how values scatter over eyes.

#include <vector>

namespace isoseam {

struct ValueSpread {
    double mean = 0.0;
    double standard_deviation = 0.0;  // by n - 1; 0 for one value
    // Percentiles lie on a straight line between order statistics, with the extremes at 0 and 100 %.
    double percentile_5 = 0.0;
    double percentile_50 = 0.0;
    double percentile_95 = 0.0;
};
ValueSpread value_spread(std::vector<double> values);  // at least one, all finite

}  // namespace isoseam
