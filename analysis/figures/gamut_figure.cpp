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

using Point = GamutDiagram::Point;

Series outline_series(const GamutDiagram& diagram) {
    Series series{.kind = Series::Kind::line, .name = "gamut"};
    for (std::size_t i = 0; i <= diagram.outline.size(); ++i) {
        const Point& corner = diagram.primaries[diagram.outline[i % diagram.outline.size()]];
        series.x.push_back(corner.x);
        series.y.push_back(corner.y);
    }
    return series;
}

Series marks(const std::string& name, const std::vector<Point>& points, Marker marker) {
    Series series{.kind = Series::Kind::points, .name = name, .marker = marker};
    for (const Point& point : points) {
        series.x.push_back(point.x);
        series.y.push_back(point.y);
    }
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
        Label label{.text = point.name, .x = point.x, .y = point.y, .dx_mm = 2.0};
        label.anchor = Label::Anchor::left;
        label.size_pt = kLabelPt;
        panel.labels.push_back(label);
    }
}

Panel diagram_panel(Panel panel, const GamutDiagram& diagram, Series spectrum) {
    spectrum.name = "spectrum";
    spectrum.stroke = {Ink::grey, Dash::solid, 0.3};
    panel.series = {spectrum, outline_series(diagram),
                    marks("primaries", diagram.primaries, Marker::filled_circle)};
    if (!diagram.others.empty())
        panel.series.push_back(marks("white", diagram.others, Marker::open_circle));
    add_labels(panel, diagram);
    return panel;
}

Series uv_prime_spectrum() {
    Series series;
    const auto add = [&](double nm) {
        const UniformChromaticity point =
            uniform_chromaticity_from_xyz(tristimulus(Spectrum::from_line(nm, 1.0)));
        series.x.push_back(point.u_prime);
        series.y.push_back(point.v_prime);
    };
    for (int nm = 400; nm <= 700; ++nm)
        add(nm);
    series.x.push_back(series.x.front());  // the line of purples
    series.y.push_back(series.y.front());
    return series;
}

// The line has a gap where it leaves the axes.
Series macleod_boynton_spectrum(const Observer& observer, const Axis& x, const Axis& y) {
    Series series;
    for (int nm = 400; nm <= 700; ++nm) {
        const MacLeodBoynton point =
            macleod_boynton_from_lms(observer.excitations(Spectrum::from_line(nm, 1.0)), observer);
        const bool is_inside =
            point.l >= *x.from && point.l <= *x.to && point.s >= *y.from && point.s <= *y.to;
        series.x.push_back(point.l);
        series.y.push_back(is_inside ? point.s : std::nan(""));
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
    figure.legend = {{.text = "gamut: primaries without black", .stroke = Stroke{}},
                     {.text = "spectrum, 400 to 700 nm; " + observer.description(),
                      .stroke = Stroke{Ink::grey, Dash::solid, 0.3}}};
    figure.width_mm = 190.0;
    figure.height_mm = 95.0;
    figure.rows = {{1.0,
                    {diagram_panel(left, uv_prime, uv_prime_spectrum()),
                     diagram_panel(right, macleod_boynton, spectrum)}}};
    return figure;
}

}  // namespace isoseam
