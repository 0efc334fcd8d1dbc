#include "analysis/study_report/figure_parts.h"

#include <algorithm>
#include <cmath>

#include "analysis/figures/figure_text.h"
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

std::vector<Row> rows_of(std::vector<Panel> panels) {
    constexpr double kPlainPanel = 1.0;
    constexpr double kLabelledPanel = 1.12;  // about 6 of 52 mm more
    std::vector<Row> rows;
    const std::size_t in_row = std::min(kPanelsInRow, panels.size());
    for (std::size_t first = 0; first < panels.size(); first += in_row) {
        Row row{1.0, {}};
        for (std::size_t i = first; i < std::min(first + in_row, panels.size()); ++i) {
            panels[i].width_share = i == first ? kLabelledPanel : kPlainPanel;
            if (i != first)
                panels[i].y.label.clear();
            row.panels.push_back(std::move(panels[i]));
        }
        // A row that is not full keeps its panels as wide as those above.
        while (row.panels.size() < in_row) {
            row.panels.push_back({.width_share = kPlainPanel, .blank = true});
        }
        rows.push_back(std::move(row));
    }
    return rows;
}

double height_of_rows_mm(std::size_t panels, double row_mm) {
    const std::size_t in_row = std::min(kPanelsInRow, panels);
    return row_mm * static_cast<double>((panels + in_row - 1) / in_row);
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
