#pragma once
// How values scatter over eyes.

#include <vector>

namespace isoseam {

struct ValueSpread {
    double mean = 0.0;
    double standard_deviation = 0.0;  // by n - 1; 0 for one value
    double percentile_5 = 0.0;  // between order statistics on a straight line, the extremes at 0 and 100 %
    double percentile_50 = 0.0;
    double percentile_95 = 0.0;
};
ValueSpread value_spread(std::vector<double> values);  // at least one, all finite

}  // namespace isoseam
