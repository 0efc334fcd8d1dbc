#pragma once
// Labels on curves instead of a key: where a letter stands beside its own curve and clear of all others.

#include <vector>

#include "analysis/figures/figure.h"
#include "analysis/figures/figure_layout.h"

namespace isoseam {

// One label for each series of kind line that has a curve_label and a point inside the axes' ranges, in their
// order. A label stands inside `plot`, near its curve's peak where that is clear.
std::vector<Label> curve_labels(const Panel& panel, const Area& plot);

}  // namespace isoseam
