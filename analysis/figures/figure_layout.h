#pragma once
// The layout says where the parts of a figure lie, in mm from its lower left corner.

#include <string>
#include <vector>

#include "analysis/figures/figure.h"

namespace isoseam {

struct Area {
    double left_mm = 0.0;
    double bottom_mm = 0.0;
    double width_mm = 0.0;
    double height_mm = 0.0;
};

// This is a line of text. y_mm is the middle of its height.
struct TextLine {
    std::string text;
    double y_mm = 0.0;
};

struct LegendPlace {
    // The height of the sample, which stands beside the first line.
    double y_mm = 0.0;
    std::vector<TextLine> lines;
};

struct FigureLayout {
    // The height of the whole figure, with title and legend.
    double height_mm = 0.0;
    std::vector<TextLine> title;
    std::vector<LegendPlace> legend;       // one per entry
    std::vector<std::vector<Area>> plots;  // the areas between the axes, by row and panel
};

// The distance from a vertical axis to the middle of its label, which stands beyond the room for numbers.
inline constexpr double kAxisLabelFromAxisMm = 16.0;
inline constexpr double kTitlePt = 11.0;
inline constexpr double kTextPt = 10.0;
inline constexpr double kLegendIndentMm = 26.0;  // where a legend's text begins
inline constexpr double kLegendSampleMm = 12.0;

FigureLayout layout_of(const Figure& figure);

}  // namespace isoseam
