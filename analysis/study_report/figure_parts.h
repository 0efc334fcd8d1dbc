#pragma once
// What the figures of a study share.

#include <optional>
#include <string>
#include <vector>

#include "analysis/figures/figure.h"
#include "analysis/summaries/space_unit.h"

namespace isoseam {

inline constexpr double kFigureWidthMm = 170.0;
inline constexpr std::size_t kPanelsInRow = 3;
inline constexpr std::size_t kRowsInFigure = 3;

// Around all values, with some room, and a step of 1, 2 or 5 times a power of ten that makes about
// `about_steps` of it. Values that do not differ get a range of their own size, or of 1 about 0.
Axis axis_around(const std::string& label, const std::vector<double>& values, double room = 0.08,
                 double about_steps = 4.0);

// Ends in three dots where a panel of a row of kPanelsInRow has no room for it.
std::string panel_title(const std::string& words);

// Panels in rows of kPanelsInRow. The first of each row is as much wider as its vertical axis needs, the
// others bear no label there.
std::vector<Row> rows_of(std::vector<Panel> panels);
double height_of_rows_mm(std::size_t panels, double row_mm);

// How coordinates of a space are shown on a page: the words of the unit stay on one line.
SpaceUnit unit_on_page(const std::string& space);

}  // namespace isoseam
