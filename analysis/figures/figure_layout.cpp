#include "analysis/figures/figure_layout.h"

#include <algorithm>

#include "analysis/figures/figure_text.h"
#include "base/errors.h"

namespace isoseam {
namespace {

constexpr double kLineSpacing = 1.35;  // of the size of the type
constexpr double kEdgeMm = 3.0;
constexpr double kAxisLabelMm = 6.0;  // room for a line of text beside an axis
constexpr double kTickTextMm = 13.0;  // room for numbers at a vertical axis
static_assert(kAxisLabelFromAxisMm == kTickTextMm + 0.5 * kAxisLabelMm);
constexpr double kTickLineMm = 5.5;  // room for numbers under a horizontal axis

double line_height_mm(double size_pt) {
    return size_pt * kMmPerPoint * kLineSpacing;
}

// Places lines downwards from `top_mm`; moves it.
std::vector<TextLine> placed(const std::vector<std::string>& lines, double size_pt, double& top_mm) {
    std::vector<TextLine> places;
    for (const std::string& line : lines) {
        places.push_back({line, top_mm - 0.5 * line_height_mm(size_pt)});
        top_mm -= line_height_mm(size_pt);
    }
    return places;
}

// What lies between a panel's edge and the area between its axes.
struct Margins {
    double left_mm = 0.0;
    double right_mm = 0.0;
    double bottom_mm = 0.0;
    double top_mm = 0.0;
};

Margins margins_of(const Panel& panel) {
    const auto beside = [](const Axis& axis) {
        return kEdgeMm + (axis.has_tick_texts ? kTickTextMm : 0.0) +
               (axis.label.empty() ? 0.0 : kAxisLabelMm);
    };
    return {
        beside(panel.y), panel.right ? beside(*panel.right) : 2.0 * kEdgeMm,
        kEdgeMm + (panel.x.has_tick_texts ? kTickLineMm : 0.0) + (panel.x.label.empty() ? 0.0 : kAxisLabelMm),
        kEdgeMm + (panel.title.empty() ? 0.0 : line_height_mm(kTextPt))};
}

// Places the areas side by side, with their horizontal axes in line.
std::vector<Area> plot_areas(const Row& row, double width_mm, double bottom_mm, double height_mm) {
    double shares = 0.0;
    Margins widest;
    for (const Panel& panel : row.panels) {
        shares += panel.width_share;
        widest.bottom_mm = std::max(widest.bottom_mm, margins_of(panel).bottom_mm);
        widest.top_mm = std::max(widest.top_mm, margins_of(panel).top_mm);
    }
    std::vector<Area> areas;
    double left_mm = 0.0;
    for (const Panel& panel : row.panels) {
        const Margins margins = margins_of(panel);
        const double cell_mm = width_mm * panel.width_share / shares;
        areas.push_back({left_mm + margins.left_mm, bottom_mm + widest.bottom_mm,
                         cell_mm - margins.left_mm - margins.right_mm,
                         height_mm - widest.bottom_mm - widest.top_mm});
        ISOSEAM_CHECK(areas.back().width_mm > 0.0 && areas.back().height_mm > 0.0,
                      "a panel has no room beside its axes");
        left_mm += cell_mm;
    }
    return areas;
}

// Places title and legend by their distance from the upper edge (negative) and gives the height that they
// take.
double place_head(const Figure& figure, FigureLayout& layout) {
    if (figure.title.empty() && figure.legend.empty())
        return 0.0;
    double top_mm = -kEdgeMm;
    if (!figure.title.empty()) {
        const double room_mm = figure.width_mm - 4.0 * kEdgeMm;
        layout.title = placed(wrapped(clean_text(figure.title), kTitlePt, room_mm), kTitlePt, top_mm);
    }
    for (const LegendEntry& entry : figure.legend) {
        const double room_mm = figure.width_mm - kLegendIndentMm - 2.0 * kEdgeMm;
        const auto lines = placed(wrapped(clean_text(entry.text), kTextPt, room_mm), kTextPt, top_mm);
        layout.legend.push_back({lines.front().y_mm, lines});
    }
    return -top_mm;
}

}  // namespace

FigureLayout layout_of(const Figure& figure) {
    FigureLayout layout;
    layout.height_mm = figure.height_mm + place_head(figure, layout);
    for (TextLine& line : layout.title)
        line.y_mm += layout.height_mm;
    for (LegendPlace& place : layout.legend) {
        place.y_mm += layout.height_mm;
        for (TextLine& line : place.lines)
            line.y_mm += layout.height_mm;
    }
    double shares = 0.0;
    for (const Row& row : figure.rows)
        shares += row.height_share;
    double bottom_mm = figure.height_mm;
    for (const Row& row : figure.rows) {
        const double height_mm = figure.height_mm * row.height_share / shares;
        bottom_mm -= height_mm;
        layout.plots.push_back(plot_areas(row, figure.width_mm, bottom_mm, height_mm));
    }
    return layout;
}

}  // namespace isoseam
