#include "analysis/figures/light_figure.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "analysis/figures/figure_layout.h"
#include "analysis/figures/figure_text.h"
#include "base/errors.h"

namespace isoseam {
namespace {

// This range is always drawn; a spectral line outside widens it.
constexpr double kFirstNm = 380.0;
constexpr double kLastNm = 780.0;
constexpr double kValuePt = 8.0;
constexpr double kHeadroom = 1.08;  // of the axis over the largest value

struct Style {
    Stroke stroke;
    Marker marker;
    Fill fill;
    double bar_shift;  // from the middle of the receptor's place, in bar widths
};

Style style_of(std::size_t light, std::size_t lights) {
    const double shift = 1.06 * (static_cast<double>(light) - 0.5 * static_cast<double>(lights - 1));
    if (light == 0)
        return {{Ink::black, Dash::solid, 0.5}, Marker::filled_circle, Fill::solid, shift};
    if (light == 1)
        return {{Ink::black, Dash::dashed, 0.5}, Marker::open_circle, Fill::hatched, shift};
    if (light == 2)
        return {{Ink::black, Dash::dotted, 0.5}, Marker::open_square, Fill::empty, shift};
    return {{Ink::grey, Dash::dash_dotted, 0.5}, Marker::open_triangle, Fill::solid, shift};
}

double bar_width(std::size_t lights) {
    return lights == 1 ? 0.5 : lights == 2 ? 0.4 : lights == 3 ? 0.28 : 0.21;
}

// Watts in a unit that makes the largest value 1 to 1000, where there is one.
struct Watts {
    double factor = 1.0;
    std::string unit = "W";

    static Watts for_largest(double largest) {
        const std::array<std::pair<double, const char*>, 5> units{
            {{1e-3, "kW"}, {1.0, "W"}, {1e3, "mW"}, {1e6, "\u00b5W"}, {1e9, "nW"}}};
        if (!(largest > 0.0))
            return {};
        const auto* const unit = std::find_if(units.begin(), std::prev(units.end()),
                                              [&](const auto& one) { return largest * one.first >= 1.0; });
        return {unit->first, unit->second};
    }
};

// A vertical axis from 0, or from the smallest value if that is negative. Scales the series and names the
// unit.
Axis watt_axis(const std::string& label, const std::vector<Series*>& series) {
    double smallest = 0.0;
    double largest = 0.0;
    for (const Series* one : series) {
        for (const double value : one->y) {
            smallest = std::min(smallest, value);
            largest = std::max(largest, value);
        }
    }
    const Watts watts = Watts::for_largest(std::max(largest, -smallest));
    for (Series* one : series) {
        for (double& value : one->y)
            value *= watts.factor;
    }
    Axis axis{.label = fmt::format(fmt::runtime(label), watts.unit),
              .from = kHeadroom * smallest * watts.factor,
              .to = kHeadroom * largest * watts.factor,
              .zero_line = smallest < 0.0};
    if (!(*axis.from < *axis.to))
        axis.to = 1.0;
    return axis;
}

Axis wavelength_axis(const std::vector<LightCurves>& lights) {
    Axis axis{.label = "wavelength, nm", .from = kFirstNm, .to = kLastNm, .tick_step = 100.0};
    for (const LightCurves& light : lights) {
        for (const Spectrum::Line& line : light.spectrum.lines()) {
            axis.from = std::min(*axis.from, line.nm - 10.0);
            axis.to = std::max(*axis.to, line.nm + 10.0);
        }
    }
    return axis;
}

// The continuous part inside the axis: samples, and where the axis cuts it.
Series continuous_series(const LightCurves& light, const Style& style, const Axis& wavelength) {
    Series series{.name = "spectrum of " + light.name, .stroke = style.stroke};
    const double from_nm = std::max(*wavelength.from, light.spectrum.first_nm());
    const double to_nm = std::min(*wavelength.to, light.spectrum.last_nm());
    const auto add = [&](double nm) { add_point(series, nm, light.spectrum.at_nm(nm)); };
    if (!(from_nm < to_nm))
        return series;
    add(from_nm);
    for (const double nm : light.spectrum.wavelengths_nm()) {
        if (nm > from_nm && nm < to_nm)
            add(nm);
    }
    add(to_nm);
    return series;
}

Series line_series(const LightCurves& light, const Style& style) {
    Series series{.kind = Series::Kind::impulses,
                  .name = "spectral lines of " + light.name,
                  .stroke = style.stroke,
                  .marker = style.marker};
    for (const Spectrum::Line& line : light.spectrum.lines())
        add_point(series, line.nm, line.radiance_w_sr_m2);
    return series;
}

Panel spectra_panel(const std::vector<LightCurves>& lights) {
    Panel panel{.width_share = 1.2, .title = "spectra", .x = wavelength_axis(lights)};
    const auto add = [&](const Series& series) {
        if (!series.x.empty())
            panel.series.push_back(series);
    };
    for (std::size_t i = 0; i < lights.size(); ++i) {
        if (lights[i].spectrum.has_continuous_part())
            add(continuous_series(lights[i], style_of(i, lights.size()), panel.x));
    }
    for (std::size_t i = 0; i < lights.size(); ++i)
        add(line_series(lights[i], style_of(i, lights.size())));

    std::vector<Series*> continuous;
    std::vector<Series*> lines;
    for (Series& series : panel.series)
        (series.kind == Series::Kind::line ? continuous : lines).push_back(&series);
    const std::string radiance_per_nm = "spectral radiance, {}/(sr m\u00b2 nm)";
    const std::string radiance = "radiance of spectral lines, {}/(sr m\u00b2)";
    const bool lines_alone = continuous.empty() && !lines.empty();
    panel.y = lines_alone ? watt_axis(radiance, lines) : watt_axis(radiance_per_nm, continuous);
    if (!lines.empty() && !lines_alone) {
        panel.right = watt_axis(radiance, lines);
        for (Series* series : lines)
            series->on_right_axis = true;
    }
    if (panel.series.empty())
        panel.labels.push_back({.text = "no light", .x = 0.5 * (*panel.x.from + *panel.x.to), .y = 0.5});
    return panel;
}

Panel excitation_panel(const std::vector<LightCurves>& lights, const std::vector<std::string>& receptors) {
    Panel panel{.title = "excitations",
                .x = {.from = 0.4, .to = static_cast<double>(receptors.size()) + 0.6}};
    for (std::size_t i = 0; i < receptors.size(); ++i)
        panel.x.ticks.push_back({static_cast<double>(i + 1), receptors[i]});
    for (std::size_t i = 0; i < lights.size(); ++i) {
        const Style style = style_of(i, lights.size());
        Series bars{.kind = Series::Kind::bars,
                    .name = "excitations by " + lights[i].name,
                    .stroke = {style.stroke.ink, Dash::solid, 0.3},
                    .fill = style.fill,
                    .bar_width = bar_width(lights.size())};
        for (std::size_t k = 0; k < receptors.size(); ++k)
            add_point(bars, static_cast<double>(k + 1) + style.bar_shift * bars.bar_width,
                      lights[i].excitations[k]);
        panel.series.push_back(bars);
    }
    std::vector<Series*> all;
    for (Series& series : panel.series)
        all.push_back(&series);
    panel.y = watt_axis("excitation, {}/(sr m\u00b2)", all);
    return panel;
}

// Three digits, noughts at the end included; 0 for nothing at all.
std::string value_text(double value) {
    std::string text = value == 0.0 ? "0" : fmt::format("{:#.3g}", value);
    if (text.back() == '.')
        text.pop_back();
    return text;
}

// Writes the value over each bar, upwards where it is wider than the room for it, and makes the axis long
// enough.
void write_values(Panel& panel, const Area& plot) {
    const double unit_mm = plot.width_mm / (*panel.x.to - *panel.x.from);
    const double room_mm = unit_mm * panel.series.front().bar_width * (panel.series.size() == 1 ? 2.0 : 1.1);
    double widest_mm = 0.0;
    for (const Series& bars : panel.series) {
        for (std::size_t i = 0; i < bars.x.size(); ++i) {
            Label label{.text = value_text(bars.y[i]), .x = bars.x[i], .y = std::max(bars.y[i], 0.0)};
            label.size_pt = kValuePt;
            widest_mm = std::max(widest_mm, text_width_mm(label.text, kValuePt));
            panel.labels.push_back(label);
        }
    }
    const bool upwards = widest_mm > room_mm;
    for (Label& label : panel.labels) {
        label.upwards = upwards;
        label.anchor = upwards ? Label::Anchor::left : Label::Anchor::centre;
        label.dy_mm = upwards ? 1.5 : 2.2;
    }
    const double taken_mm = upwards ? widest_mm + 2.0 : 4.5;
    panel.y.to = *panel.y.to / (1.0 - std::min(taken_mm / plot.height_mm, 0.5));
}

std::string in_words(const std::string& eye, const std::vector<LightCurves>& lights,
                     const std::vector<std::string>& receptors) {
    std::string words = fmt::format("Spectra of lights and the excitations that they cause. Eye: {}.", eye);
    for (const LightCurves& light : lights) {
        words += fmt::format(" {}:", light.name);
        for (std::size_t i = 0; i < receptors.size(); ++i)
            words += fmt::format("{} {} {:.4g}", i == 0 ? "" : ",", receptors[i], light.excitations[i]);
        words += " W/(sr m2).";
    }
    return words;
}

}  // namespace

Figure light_figure(const std::string& eye, const std::vector<LightCurves>& lights,
                    const std::vector<std::string>& receptors) {
    ISOSEAM_CHECK(!lights.empty() && lights.size() <= 4);
    for (const LightCurves& light : lights) {
        ISOSEAM_CHECK(light.excitations.size() == receptors.size());
        ISOSEAM_CHECK(std::all_of(light.excitations.begin(), light.excitations.end(),
                                  [](double value) { return std::isfinite(value); }));
    }
    Figure figure;
    figure.title = eye;
    figure.description = in_words(eye, lights, receptors);
    for (std::size_t i = 0; i < lights.size(); ++i) {
        const Style style = style_of(i, lights.size());
        figure.legend.push_back({.text = lights[i].name, .stroke = style.stroke, .fill = style.fill});
    }
    figure.width_mm = 190.0;
    figure.height_mm = 90.0;
    figure.rows = {{1.0, {spectra_panel(lights), excitation_panel(lights, receptors)}}};
    const Area plot = layout_of(figure).plots[0][1];
    write_values(figure.rows[0].panels[1], plot);
    return figure;
}

}  // namespace isoseam
