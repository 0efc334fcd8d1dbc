#pragma once
// From `low` to `high`. Of 95 %, wherever nothing else is said.

namespace isoseam {

struct Interval {
    double low = 0.0;
    double high = 0.0;
    bool holds(double value) const { return value >= low && value <= high; }
};

}  // namespace isoseam
