#include "runner/lecture/class_figures.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <span>
#include <utility>

#include "analysis/figures/light_figure.h"

namespace isoseam {
namespace {

constexpr double kWidthMm = 170.0;
constexpr double kHeightMm = 80.0;
constexpr double kTallWidthMm = 105.0;
constexpr double kTallHeightMm = 105.0;

Series bars(std::vector<double> x, std::vector<double> y, double width, Fill fill) {
    Series series{.kind = Series::Kind::bars, .stroke = {Ink::black, Dash::solid, 0.3}, .fill = fill};
    series.bar_width = width;
    series.x = std::move(x);
    series.y = std::move(y);
    return series;
}

// An axis from 0 to a little more than the largest value.
Axis count_axis(const std::string& label, int largest) {
    Axis axis{.label = label, .from = 0.0, .to = 1.15 * std::max(largest, 1)};
    if (largest < 6)
        axis.tick_step = 1.0;
    return axis;
}

int largest_of(std::span<const int> counts) {
    return counts.empty() ? 0 : *std::max_element(counts.begin(), counts.end());
}

Panel slider_panel(const ClassSlider& slider, const std::string& label) {
    const SliderSpread& spread = slider.spread;
    Panel panel{.title = slider.ask,
                .x = {.from = -0.12, .to = 1.12, .ticks = {{0.0, slider.low}, {1.0, slider.high}}},
                .y = count_axis(label, largest_of(spread.bins))};
    const double width = 1.0 / static_cast<double>(spread.bins.size());
    std::vector<double> x;
    std::vector<double> y;
    for (std::size_t i = 0; i < spread.bins.size(); ++i) {
        x.push_back((static_cast<double>(i) + 0.5) * width);
        y.push_back(spread.bins[i]);
    }
    Series median{.kind = Series::Kind::line, .name = "median", .stroke = {Ink::black, Dash::dashed, 0.7}};
    median.x = {spread.median, spread.median};
    median.y = {0.0, *panel.y.to};
    panel.series = {bars(x, y, 0.9 * width, Fill::hatched), median};
    return panel;
}

}  // namespace

Figure choices_figure(const std::vector<int>& counts, const std::string& label) {
    Panel panel{.x = {.from = 0.4, .to = static_cast<double>(counts.size()) + 0.6},
                .y = count_axis(label, largest_of(counts))};
    std::vector<double> x;
    std::vector<double> y;
    for (std::size_t i = 0; i < counts.size(); ++i) {
        x.push_back(static_cast<double>(i + 1));
        y.push_back(counts[i]);
        panel.x.ticks.push_back({x.back(), fmt::format("{}", i + 1)});
        panel.labels.push_back(
            {.text = fmt::format("{}", counts[i]), .x = x.back(), .y = y.back(), .dy_mm = 2.2});
    }
    panel.series = {bars(x, y, 0.6, Fill::solid)};
    return {.rows = {{1.0, {panel}}}, .width_mm = 0.6 * kWidthMm, .height_mm = kHeightMm};
}

std::vector<ClassSlider> class_sliders(const Lecture& lecture, const Scene& scene,
                                       const std::vector<SliderSpread>& spreads,
                                       const std::string& language) {
    const std::vector<const SliderWords*> words = sliders_of(scene);
    ISOSEAM_CHECK(words.size() == spreads.size());
    std::vector<ClassSlider> sliders;
    for (std::size_t i = 0; i < words.size(); ++i) {
        sliders.push_back({text_in(lecture, words[i]->ask, language),
                           text_in(lecture, words[i]->low, language),
                           text_in(lecture, words[i]->high, language), spreads[i]});
    }
    return sliders;
}

Figure sliders_figure(const std::vector<ClassSlider>& sliders, const std::string& label) {
    Row row;
    for (const ClassSlider& slider : sliders)
        row.panels.push_back(slider_panel(slider, label));
    const double width_mm = sliders.size() == 1 ? 0.6 * kWidthMm : kWidthMm;
    return {.rows = {row}, .width_mm = width_mm, .height_mm = kHeightMm};
}

Figure reveal_figure(const Revealed& revealed, const Observer& observer) {
    static const std::array<const char*, 3> names{"L", "M", "S"};
    std::vector<std::string> receptors;
    std::vector<LightCurves> curves;
    for (const RevealedLight& light : revealed.lights)
        curves.push_back({light.name, light.spectrum, {}});
    for (std::size_t cone = 0; cone < names.size(); ++cone) {
        if (!revealed.cones[cone])
            continue;
        receptors.emplace_back(names[cone]);
        for (std::size_t i = 0; i < curves.size(); ++i)
            curves[i].excitations.push_back(revealed.lights[i].lms.vector()[static_cast<Eigen::Index>(cone)]);
    }
    // One panel stands above the other, because the figure stands beside words on a wide screen.
    Figure figure = light_figure(observer.description(), curves, receptors);
    std::vector<Row> rows;
    for (Panel panel : figure.rows.front().panels) {
        // The title says what the axis is. A low panel has room for the unit alone.
        const std::size_t comma = panel.y.label.rfind(", ");
        if (comma != std::string::npos)
            panel.y.label.erase(0, comma + 2);
        rows.push_back({1.0, {panel}});
    }
    figure.rows = rows;
    figure.width_mm = kTallWidthMm;
    figure.height_mm = kTallHeightMm;
    return figure;
}

}  // namespace isoseam
