#pragma once
// This header holds what the figures of a study share.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "analysis/figures/figure.h"
#include "analysis/pages/document.h"
#include "analysis/summaries/space_unit.h"

namespace isoseam {

inline constexpr double kFigureWidthMm = 170.0;
inline constexpr std::size_t kPanelsInRow = 3;
inline constexpr std::size_t kPanelsInFigure = 9;

// Gives an axis around all values, with some room, and with a step of 1, 2 or 5 times a power of ten that
// divides it into about `about_steps` parts. Values that do not differ get a range of their own size, or a
// range of 1 about 0.
Axis axis_around(const std::string& label, const std::vector<double>& values, double room = 0.08,
                 double about_steps = 4.0);

// The title ends in three dots if a panel of a row of kPanelsInRow has no room for all of it.
std::string panel_title(const std::string& words);

// Gives the items in their order, in parts of `size`. The last part may be shorter.
template <class Item>
std::vector<std::vector<Item>> parts_of(const std::vector<Item>& items, std::size_t size) {
    std::vector<std::vector<Item>> parts;
    for (const Item& item : items) {
        if (parts.empty() || parts.back().size() == size)
            parts.emplace_back();
        parts.back().push_back(item);
    }
    return parts;
}
// Puts the panels into figures of kPanelsInFigure, in rows of kPanelsInRow that are `row_mm` high. The first
// panel of each row is wider, by as much as its vertical axis needs. The vertical axes of the others have no
// label. `described` gives the rest of a figure. It is given the words that tell its part from the others, as
// in " (participants 1 to 9 of 12)" or "", and the titles of its panels. `what` is a word such as
// "participants".
using DescribeFigure = std::function<PageFigure(const std::string& part, const std::string& titles)>;
std::vector<PageFigure> figures_of(const std::vector<Panel>& panels, const std::string& what, double row_mm,
                                   const DescribeFigure& described);

// Says how coordinates of a space are shown on a page. The words of the unit stay on one line.
SpaceUnit unit_on_page(const std::string& space);

}  // namespace isoseam
