#pragma once
// An interval from `low` to `high`. It is one of 95 % wherever nothing else is said.

namespace isoseam {

struct Interval {
    double low = 0.0;
    double high = 0.0;
    bool holds(double value) const { return value >= low && value <= high; }
};

}  // namespace isoseam
