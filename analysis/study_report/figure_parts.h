#pragma once
// This header holds what the figures of a study share.

#include <optional>
#include <string>
#include <vector>

#include "analysis/figures/figure.h"
#include "analysis/summaries/space_unit.h"

namespace isoseam {

inline constexpr double kFigureWidthMm = 170.0;
inline constexpr std::size_t kPanelsInRow = 3;
inline constexpr std::size_t kRowsInFigure = 3;

// Gives an axis around all values, with some room, and with a step of 1, 2 or 5 times a power of ten that
// divides it into about `about_steps` parts. Values that do not differ get a range of their own size, or a
// range of 1 about 0.
Axis axis_around(const std::string& label, const std::vector<double>& values, double room = 0.08,
                 double about_steps = 4.0);

// The title ends in three dots if a panel of a row of kPanelsInRow has no room for all of it.
std::string panel_title(const std::string& words);

// Puts the panels into rows of kPanelsInRow. The first panel of each row is wider, by as much as its vertical
// axis needs. The vertical axes of the others have no label.
std::vector<Row> rows_of(std::vector<Panel> panels);
double height_of_rows_mm(std::size_t panels, double row_mm);

// Says how coordinates of a space are shown on a page. The words of the unit stay on one line.
SpaceUnit unit_on_page(const std::string& space);

}  // namespace isoseam
