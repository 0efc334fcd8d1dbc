#include "analysis/study_report/figure_parts.h"

#include <algorithm>
#include <cmath>

#include "analysis/figures/figure_text.h"
#include "analysis/study_report/word_lists.h"
#include "base/errors.h"

namespace isoseam {
namespace {

double round_step(double step) {
    const double power = std::pow(10.0, std::floor(std::log10(step)));
    for (const double mantissa : {1.0, 2.0, 5.0}) {
        if (step <= mantissa * power * (1.0 + 1e-9))
            return mantissa * power;
    }
    return 10.0 * power;
}

std::vector<Row> rows_of(const std::vector<Panel>& panels) {
    constexpr double kPlainPanel = 1.0;
    constexpr double kLabelledPanel = 1.12;  // about 6 of 52 mm more
    const std::size_t in_row = std::min(kPanelsInRow, panels.size());
    std::vector<Row> rows;
    for (std::vector<Panel>& part : parts_of(panels, in_row)) {
        for (Panel& panel : part) {
            panel.width_share = &panel == &part.front() ? kLabelledPanel : kPlainPanel;
            if (&panel != &part.front())
                panel.y.label.clear();
        }
        // A row that is not full keeps its panels as wide as those above.
        part.resize(in_row, {.width_share = kPlainPanel, .blank = true});
        rows.push_back({1.0, std::move(part)});
    }
    return rows;
}

}  // namespace

Axis axis_around(const std::string& label, const std::vector<double>& values, double room,
                 double about_steps) {
    ISOSEAM_CHECK(!values.empty());
    const auto [least, most] = std::minmax_element(values.begin(), values.end());
    double span = *most - *least;
    if (!(span > 1e-12 * std::abs(*most)))
        span = *most != 0.0 ? std::abs(*most) : 1.0;
    const double middle = 0.5 * (*least + *most);
    const double half = (0.5 + room) * span;
    return {.label = label,
            .from = middle - half,
            .to = middle + half,
            .tick_step = round_step(2.0 * half / about_steps)};
}

std::string panel_title(const std::string& words) {
    constexpr double kRoomMm = 50.0;
    constexpr double kTextPt = 10.0;
    if (text_width_mm(words, kTextPt) <= kRoomMm)
        return words;
    constexpr double kDotsMm = 4.0;
    return wrapped(words, kTextPt, kRoomMm - kDotsMm).front() + "\u2026";
}

std::vector<PageFigure> figures_of(const std::vector<Panel>& panels, const std::string& what, double row_mm,
                                   const DescribeFigure& described) {
    std::vector<PageFigure> figures;
    std::size_t shown = 0;
    for (const std::vector<Panel>& part : parts_of(panels, kPanelsInFigure)) {
        std::vector<std::string> titles;
        for (const Panel& panel : part)
            titles.push_back(panel.title);
        const std::size_t first = shown + 1;
        shown += part.size();
        figures.push_back(described(part.size() == panels.size() ? ""
                                                                 : fmt::format(" ({} {} to {} of {})", what,
                                                                               first, shown, panels.size()),
                                    listed(titles)));
        Figure& figure = figures.back().figure;
        figure.rows = rows_of(part);
        figure.width_mm = kFigureWidthMm;
        figure.height_mm = row_mm * static_cast<double>(figure.rows.size());
    }
    return figures;
}

SpaceUnit unit_on_page(const std::string& space) {
    SpaceUnit unit = unit_of_space(space);
    std::string unbroken;
    for (const char c : unit.name)
        unbroken += c == ' ' ? std::string("\u00a0") : std::string(1, c);
    unit.name = unbroken;
    return unit;
}

}  // namespace isoseam
