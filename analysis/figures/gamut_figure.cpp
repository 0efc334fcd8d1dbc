#include "analysis/figures/gamut_figure.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/errors.h"
#include "colorimetry/colour_space.h"

namespace isoseam {
namespace {

constexpr double kLabelPt = 8.0;
constexpr double kLabelFromPointMm = 3.2;
constexpr double kWhiteSpace = 0.15;  // around the gamut, share of its extent

const Stroke kSpectrumStroke{Ink::grey, Dash::solid, 0.3};

using Point = GamutDiagram::Point;

Series outline_series(const GamutDiagram& diagram) {
    Series series{.name = "gamut"};
    for (std::size_t i = 0; i <= diagram.outline.size(); ++i) {
        const Point& corner = diagram.primaries[diagram.outline[i % diagram.outline.size()]];
        add_point(series, corner.x, corner.y);
    }
    return series;
}

Series marks(const std::string& name, const std::vector<Point>& points, Marker marker) {
    Series series{.kind = Series::Kind::points, .name = name, .marker = marker};
    for (const Point& point : points)
        add_point(series, point.x, point.y);
    return series;
}

// The label stands above or below its point, on the side away from the middle, and is moved towards the
// middle of the axis, so that a long name stays inside the panel.
Label name_label(const Point& point, const Panel& panel, double middle_y) {
    const double across = (point.x - *panel.x.from) / (*panel.x.to - *panel.x.from);
    Label label{.text = point.name, .x = point.x, .y = point.y};
    label.dy_mm = point.y >= middle_y ? kLabelFromPointMm : -kLabelFromPointMm;
    label.anchor = across < 1.0 / 3.0   ? Label::Anchor::left
                   : across > 2.0 / 3.0 ? Label::Anchor::right
                                        : Label::Anchor::centre;
    label.size_pt = kLabelPt;
    return label;
}

void add_labels(Panel& panel, const GamutDiagram& diagram) {
    double middle_y = 0.0;
    for (const Point& point : diagram.primaries)
        middle_y += point.y / static_cast<double>(diagram.primaries.size());
    for (const Point& point : diagram.primaries)
        panel.labels.push_back(name_label(point, panel, middle_y));
    for (const Point& point : diagram.others) {
        panel.labels.push_back({.text = point.name,
                                .x = point.x,
                                .y = point.y,
                                .dx_mm = 2.0,
                                .anchor = Label::Anchor::left,
                                .size_pt = kLabelPt});
    }
}

Panel diagram_panel(Panel panel, const GamutDiagram& diagram, const Series& spectrum) {
    panel.series = {spectrum, outline_series(diagram),
                    marks("primaries", diagram.primaries, Marker::filled_circle)};
    if (!diagram.others.empty())
        panel.series.push_back(marks("white", diagram.others, Marker::open_circle));
    add_labels(panel, diagram);
    return panel;
}

// The line has a gap where it leaves the axes.
Series macleod_boynton_spectrum(const Observer& observer, const Axis& x, const Axis& y) {
    Series series{.name = "spectrum", .stroke = kSpectrumStroke};
    for (int nm = 400; nm <= 700; ++nm) {
        const MacLeodBoynton point =
            macleod_boynton_from_lms(observer.excitations(Spectrum::from_line(nm, 1.0)), observer);
        const bool is_inside =
            point.l >= *x.from && point.l <= *x.to && point.s >= *y.from && point.s <= *y.to;
        add_point(series, point.l, is_inside ? point.s : std::nan(""));
    }
    return series;
}

Axis axis_around(const std::string& label, const GamutDiagram& diagram, double Point::*coordinate) {
    std::vector<double> values;
    for (const std::vector<Point>* points : {&diagram.primaries, &diagram.others}) {
        for (const Point& point : *points)
            values.push_back(point.*coordinate);
    }
    const auto [least, most] = std::minmax_element(values.begin(), values.end());
    const double space = kWhiteSpace * (*most - *least);
    return {.label = label, .from = *least - space, .to = *most + space};
}

std::string in_words(const std::string& screen, const GamutDiagram& uv_prime, const GamutDiagram& mb) {
    std::string words = fmt::format("What the screen {} can show. CIE 1976 u', v':", screen);
    const auto add = [&](const GamutDiagram& diagram) {
        std::string separator = " ";
        for (const std::vector<Point>* points : {&diagram.primaries, &diagram.others}) {
            for (const Point& point : *points) {
                words += fmt::format("{}{} {:.4f} {:.4f}", separator, point.name, point.x, point.y);
                separator = ", ";
            }
        }
        words += ".";
    };
    add(uv_prime);
    words += " MacLeod-Boynton l, s:";
    add(mb);
    return words;
}

void check(const GamutDiagram& diagram) {
    ISOSEAM_CHECK(diagram.outline.size() >= 3);
    for (const std::size_t corner : diagram.outline)
        ISOSEAM_CHECK(corner < diagram.primaries.size());
    for (const std::vector<Point>* points : {&diagram.primaries, &diagram.others}) {
        for (const Point& point : *points)
            ISOSEAM_CHECK(std::isfinite(point.x) && std::isfinite(point.y));
    }
}

}  // namespace

Series uv_prime_spectrum(const std::string& name, int first_nm, int last_nm, int step_nm) {
    Series series{.name = name, .stroke = kSpectrumStroke};
    for (int nm = first_nm; nm <= last_nm; nm += step_nm) {
        const UniformChromaticity point =
            uniform_chromaticity_from_xyz(tristimulus(Spectrum::from_line(nm, 1.0)));
        add_point(series, point.u_prime, point.v_prime);
    }
    add_point(series, series.x.front(), series.y.front());  // the line of purples
    return series;
}

Figure gamut_figure(const std::string& screen, const Observer& observer, const GamutDiagram& uv_prime,
                    const GamutDiagram& macleod_boynton) {
    check(uv_prime);
    check(macleod_boynton);
    Panel left{.title = "CIE 1976 u\u2032, v\u2032"};
    left.x = {.label = "u\u2032", .from = -0.05, .to = 0.7, .tick_step = 0.1};
    left.y = {.label = "v\u2032", .from = 0.0, .to = 0.65, .tick_step = 0.1};
    Panel right{.title = "MacLeod-Boynton"};
    right.x = axis_around("l", macleod_boynton, &Point::x);
    right.y = axis_around("s", macleod_boynton, &Point::y);
    const Series spectrum = macleod_boynton_spectrum(observer, right.x, right.y);
    Figure figure;
    figure.title = screen;
    figure.description = in_words(screen, uv_prime, macleod_boynton);
    figure.legend = {
        {.text = "gamut: primaries without black", .stroke = Stroke{}},
        {.text = "spectrum, 400 to 700 nm; " + observer.description(), .stroke = kSpectrumStroke}};
    figure.width_mm = 190.0;
    figure.height_mm = 95.0;
    figure.rows = {{1.0,
                    {diagram_panel(left, uv_prime, uv_prime_spectrum("spectrum", 400, 700, 1)),
                     diagram_panel(right, macleod_boynton, spectrum)}}};
    return figure;
}

}  // namespace isoseam
