#pragma once
// Labels on curves take the place of a key. This header decides where a letter stands, so that it is beside
// its own curve and clear of all others.

#include <vector>

#include "analysis/figures/figure.h"
#include "analysis/figures/figure_layout.h"

namespace isoseam {

// Gives one label for each series of kind `line` that has a curve_label and a point inside the ranges of the
// axes, in the order of the series. A label stands inside `plot`, near the peak of its curve if there is
// clear room.
std::vector<Label> curve_labels(const Panel& panel, const Area& plot);

}  // namespace isoseam
