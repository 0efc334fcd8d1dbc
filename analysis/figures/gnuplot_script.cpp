#include "analysis/figures/gnuplot_script.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>

#include "analysis/figures/curve_labels.h"
#include "analysis/figures/figure_layout.h"
#include "analysis/figures/figure_text.h"
#include "base/errors.h"

namespace isoseam {
namespace {

constexpr double kMmPerInch = 25.4;
// The unit of line widths in the script; of SVG, where 96 of them are an inch.
constexpr double kMmPerPixel = kMmPerInch / 96.0;

// Adds the text to the script.
template <class... Values>
void write(std::string& script, fmt::format_string<const Values&...> format, const Values&... values) {
    script += fmt::format(format, values...);
}

struct Page {
    double width_mm = 0.0;
    double height_mm = 0.0;
};

// In single quotes gnuplot takes every letter as it is. It stumbles over quotes inside, and a quote in double
// quotes makes it look for macros in the rest of the line; so a quote is written by its number: 'it' . "\047"
// . 's'.
std::string in_quotes(const std::string& text) {
    std::string expression = "'";
    for (const char c : clean_text(text))
        expression += c == '\'' ? std::string("' . \"\\047\" . '") : std::string(1, c);
    return expression + "'";
}

// Texts at ticks are formats of numbers, too.
std::string quoted_tick(const std::string& text) {
    std::string escaped;
    for (const char c : text) {
        escaped += c;
        if (c == '%')
            escaped += c;
    }
    return in_quotes(escaped);
}

// So that sizes of letters in points, line widths in kMmPerPixel, dashes and markers look the same in every
// format: svg takes sizes of letters in pixels, pngcairo in points at 96 dots an inch, pdfcairo in units of
// 4/3 points and lines in half points; both cairo terminals draw dashes half as long.
std::string terminal(PictureFormat format, double width_mm, double height_mm) {
    const double svg_scale = 1.0 / kMmPerPixel;
    const double png_scale = kPngDotsPerInch / kMmPerInch;
    switch (format) {
        case PictureFormat::svg:
            return fmt::format("svg size {:.0f},{:.0f} font 'sans-serif,{}' fontscale {:.6f} name 'isoseam'",
                               width_mm * svg_scale, height_mm * svg_scale, kTextPt, 96.0 / 72.0);
        case PictureFormat::png:
            return fmt::format(
                "pngcairo size {:.0f},{:.0f} font 'DejaVu Sans,{}' fontscale {:.6f} linewidth {:.6f} "
                "pointscale {:.6f} "
                "dashlength 2",
                width_mm * png_scale, height_mm * png_scale, kTextPt, kPngDotsPerInch / 96.0,
                kPngDotsPerInch / 96.0, kPngDotsPerInch / 96.0);
        case PictureFormat::pdf:
            return fmt::format(
                "pdfcairo size {:.3f}cm,{:.3f}cm font 'DejaVu Sans,{}' fontscale 0.75 linewidth 1.5 "
                "dashlength 2",
                width_mm / 10.0, height_mm / 10.0, kTextPt);
    }
    ISOSEAM_CHECK(false);
}

const char* colour(Ink ink) {
    return ink == Ink::black ? "#000000" : "#808080";
}

std::string strokes(const Stroke& stroke) {
    const char* const dashes[] = {"solid", "(10,5)", "(2,4)", "(10,4,2,4)"};
    return fmt::format("lw {:.6g} dt {} lc rgb '{}'", stroke.width_mm / kMmPerPixel,
                       dashes[static_cast<int>(stroke.dash)], colour(stroke.ink));
}

int point_type(Marker marker) {
    const int types[] = {-1, 7, 7, 6, 5, 4, 8, 2};
    return types[static_cast<int>(marker)];
}

std::string points(Marker marker) {
    return fmt::format("pt {} ps {}", point_type(marker), marker == Marker::dot ? 0.3 : 0.8);
}

const char* filling(Fill fill) {
    const char* const styles[] = {"empty", "solid 1.0", "pattern 4"};
    return styles[static_cast<int>(fill)];
}

void check(const Series& series) {
    const auto none_is_infinite = [](const std::vector<double>& values) {
        return std::none_of(values.begin(), values.end(), [](double value) { return std::isinf(value); });
    };
    ISOSEAM_CHECK(series.x.size() == series.y.size());
    ISOSEAM_CHECK(std::all_of(series.x.begin(), series.x.end(), [](double x) { return std::isfinite(x); }));
    ISOSEAM_CHECK(none_is_infinite(series.y) && none_is_infinite(series.low) &&
                  none_is_infinite(series.high));
    if (series.kind == Series::Kind::error_bars)
        ISOSEAM_CHECK(series.low.size() == series.x.size() && series.high.size() == series.x.size());
}

// gnuplot complains of a series without a point.
bool has_points(const Series& series, const Panel& panel) {
    const Axis& axis = series.on_right_axis ? *panel.right : panel.y;
    return std::any_of(series.y.begin(), series.y.end(),
                       [&](double y) { return axis.logarithmic ? y > 0.0 : !std::isnan(y); });
}

// The series of a panel in the order of drawing: one per clause of the plot command.
std::vector<const Series*> drawn_series(const Panel& panel) {
    std::vector<const Series*> drawn;
    for (const Series& series : panel.series) {
        check(series);
        ISOSEAM_CHECK(!series.on_right_axis || panel.right.has_value());
        if (has_points(series, panel))
            drawn.push_back(&series);
    }
    return drawn;
}

std::string number(double value) {
    return std::isnan(value) ? "NaN" : fmt::format("{}", value);
}

void write_data(std::string& out, const Series& series, int n) {
    write(out, "$d{} << END\n", n);
    for (std::size_t i = 0; i < series.x.size(); ++i) {
        write(out, "{} {}", number(series.x[i]), number(series.y[i]));
        if (series.kind == Series::Kind::error_bars)
            write(out, " {} {}", number(series.low[i]), number(series.high[i]));
        write(out, "\n");
    }
    write(out, "END\n");
}

// One series of the plot command; impulses with markers take two clauses.
std::string clause(const Series& series, int n, Key key) {
    const std::string name =
        key == Key::none || series.name.empty() ? "notitle" : "title " + in_quotes(series.name);
    const char* const axes = series.on_right_axis ? "x1y2" : "x1y1";
    const std::string from = fmt::format("$d{} using 1:2 axes {}", n, axes);
    const std::string style = strokes(series.stroke);
    switch (series.kind) {
        case Series::Kind::line:
            return fmt::format("{} with lines {} {}", from, style, name);
        case Series::Kind::points:
            return fmt::format("{} with points {} {} {}", from, points(series.marker), style, name);
        case Series::Kind::impulses: {
            const std::string impulses = fmt::format("{} with impulses {} {}", from, style, name);
            if (series.marker == Marker::none)
                return impulses;
            Stroke marked = series.stroke;
            marked.dash = Dash::solid;
            return fmt::format("{}, {} with points {} {} notitle", impulses, from, points(series.marker),
                               strokes(marked));
        }
        case Series::Kind::bars:
            return fmt::format("$d{} using 1:2:({}) axes {} with boxes fs {} border lc rgb '{}' {} {}", n,
                               series.bar_width, axes, filling(series.fill), colour(series.stroke.ink), style,
                               name);
        case Series::Kind::error_bars:
            return fmt::format("$d{} using 1:2:3:4 axes {} with yerrorbars {} {} {}", n, axes,
                               points(series.marker), style, name);
    }
    ISOSEAM_CHECK(false);
}

// Ends of an axis's range that the data set, in gnuplot's words.
struct OpenEnds {
    std::string from = "*";
    std::string to = "*";
};

// gnuplot finds no range for an axis without data. Bars and impulses stand on 0, so that must be in sight.
OpenEnds open_ends(const std::vector<const Series*>& drawn, const Axis& axis) {
    if (drawn.empty())
        return {axis.logarithmic ? "0.1" : "0", "1"};
    const bool stands_on_zero = std::any_of(drawn.begin(), drawn.end(), [](const Series* series) {
        return series->kind == Series::Kind::bars || series->kind == Series::Kind::impulses;
    });
    return stands_on_zero && !axis.logarithmic ? OpenEnds{"*<0", "0<*"} : OpenEnds{};
}

// `name` is x, y or y2.
void write_axis(std::string& out, const Axis& axis, const std::string& name, const OpenEnds& open) {
    ISOSEAM_CHECK(!(axis.from && axis.to) || *axis.from < *axis.to);
    write(out, "set {}range [{}:{}]\n", name, axis.from ? number(*axis.from) : open.from,
          axis.to ? number(*axis.to) : open.to);
    write(out, "{} logscale {}\n", axis.logarithmic ? "set" : "unset", name);
    write(out, "set format {} {}\n", name, axis.has_tick_texts ? "'%g'" : "''");
    write(out, "set {}tics nomirror out scale 0.6 ", name);
    if (axis.ticks.empty()) {
        write(out, "{}\n", axis.tick_step > 0.0 ? number(axis.tick_step) : "autofreq");
        return;
    }
    std::string ticks;
    for (const Tick& tick : axis.ticks)
        ticks += fmt::format("{}{} {}", ticks.empty() ? "" : ", ", quoted_tick(tick.text), number(tick.at));
    write(out, "({})\n", ticks);
}

void write_key(std::string& out, Key key) {
    const char* const places[] = {"", "left top Left reverse", "right top", "left bottom Left reverse",
                                  "right bottom"};
    if (key == Key::none)
        write(out, "unset key\n");
    else
        write(out, "set key on inside {} samplen 3 spacing 1.2\n", places[static_cast<int>(key)]);
}

void write_label(std::string& out, const Label& label, const Page& page) {
    const char* const anchors[] = {"left", "center", "right"};
    write(out,
          "set label {} at first {},{} {} {} front offset screen {:.6f},{:.6f} font ',{}' "
          "textcolor rgb '{}'\n",
          in_quotes(label.text), number(label.x), number(label.y), anchors[static_cast<int>(label.anchor)],
          label.upwards ? "rotate by 90" : "norotate", label.dx_mm / page.width_mm,
          label.dy_mm / page.height_mm, label.size_pt, colour(label.ink));
}

// Title and legend, as labels of the first panel: they lie on the whole picture.
void write_head(std::string& out, const Figure& figure, const FigureLayout& layout) {
    const auto x = [&](double mm) { return mm / figure.width_mm; };
    const auto y = [&](double mm) { return mm / layout.height_mm; };
    for (const TextLine& line : layout.title)
        write(out, "set label {} at screen 0.5,{:.6f} center font ',{}'\n", in_quotes(line.text),
              y(line.y_mm), kTitlePt);
    for (std::size_t i = 0; i < figure.legend.size(); ++i) {
        const LegendEntry& entry = figure.legend[i];
        const LegendPlace& place = layout.legend[i];
        for (const TextLine& line : place.lines)
            write(out, "set label {} at screen {:.6f},{:.6f} left\n", in_quotes(line.text),
                  x(kLegendIndentMm), y(line.y_mm));
        double right_mm = kLegendIndentMm - 2.0;
        if (entry.fill) {
            write(out,
                  "set object rectangle from screen {:.6f},{:.6f} to screen {:.6f},{:.6f} front "
                  "fc rgb '#000000' fs {} border lc rgb '#000000'\n",
                  x(right_mm - 4.0), y(place.y_mm - 1.3), x(right_mm), y(place.y_mm + 1.3),
                  filling(*entry.fill));
            right_mm -= 6.0;
        }
        if (entry.stroke) {
            // In SVG gnuplot draws neighbouring strokes of the very same width with one dash for all.
            Stroke stroke = *entry.stroke;
            stroke.width_mm += 1e-3 * static_cast<double>(i);
            write(out, "set arrow from screen {:.6f},{:.6f} to screen {:.6f},{:.6f} nohead front {}\n",
                  x(right_mm - kLegendSampleMm), y(place.y_mm), x(right_mm), y(place.y_mm), strokes(stroke));
        }
    }
}

// Beside the room for the numbers at the axis, so that labels of panels above each other stand in line.
// gnuplot would put them as near as the numbers allow, which it guesses too narrow for SVG.
void write_vertical_axis_label(std::string& out, const std::string& text, double x_mm, double y_mm,
                               const Page& page) {
    if (!text.empty())
        write(out, "set label {} at screen {:.6f},{:.6f} center rotate by 90\n", in_quotes(text),
              x_mm / page.width_mm, y_mm / page.height_mm);
}

void write_margins(std::string& out, const Area& area, const Page& page) {
    write(out, "set lmargin at screen {:.6f}\nset rmargin at screen {:.6f}\n", area.left_mm / page.width_mm,
          (area.left_mm + area.width_mm) / page.width_mm);
    write(out, "set bmargin at screen {:.6f}\nset tmargin at screen {:.6f}\n",
          area.bottom_mm / page.height_mm, (area.bottom_mm + area.height_mm) / page.height_mm);
}

void write_axes(std::string& out, const Panel& panel, const Area& area, const Page& page) {
    const std::vector<const Series*> drawn = drawn_series(panel);
    std::vector<const Series*> left;
    std::vector<const Series*> right;
    for (const Series* series : drawn)
        (series->on_right_axis ? right : left).push_back(series);
    write(out, "set border {} lw 1\n", panel.right ? 11 : 3);
    write_axis(out, panel.x, "x", drawn.empty() ? open_ends({}, panel.x) : OpenEnds{});
    write_axis(out, panel.y, "y", open_ends(left, panel.y));
    write(out, "set xlabel {}\n", in_quotes(panel.x.label));
    const double middle_mm = area.bottom_mm + 0.5 * area.height_mm;
    write_vertical_axis_label(out, panel.y.label, area.left_mm - kAxisLabelFromAxisMm, middle_mm, page);
    if (panel.right) {
        write_axis(out, *panel.right, "y2", open_ends(right, *panel.right));
        write_vertical_axis_label(out, panel.right->label,
                                  area.left_mm + area.width_mm + kAxisLabelFromAxisMm, middle_mm, page);
    } else {
        write(out, "unset y2tics\n");
    }
    if (panel.y.zero_line)
        write(out, "set xzeroaxis lt 1 lw 0.7 lc rgb '{}'\n", colour(Ink::grey));
    else
        write(out, "unset xzeroaxis\n");
}

void write_panel(std::string& out, const Panel& panel, const Area& area, const Page& page, int& next_data) {
    write_margins(out, area, page);
    write(out, "set title {} offset 0,-0.5\n", in_quotes(panel.title));
    write_axes(out, panel, area, page);
    write_key(out, panel.key);
    for (const Label& label : panel.labels)
        write_label(out, label, page);
    for (const Label& label : curve_labels(panel, area))
        write_label(out, label, page);
    std::string clauses;
    for (const Series* series : drawn_series(panel)) {
        write_data(out, *series, next_data);
        clauses += (clauses.empty() ? "" : ", ") + clause(*series, next_data, panel.key);
        ++next_data;
    }
    write(out, "plot {}\n", clauses.empty() ? "NaN notitle" : clauses);
    write(out, "unset label\nunset arrow\nunset object\n");
}

}  // namespace

std::string gnuplot_script(const Figure& figure, PictureFormat format) {
    const FigureLayout layout = layout_of(figure);
    std::string script;
    write(script, "set encoding utf8\nset terminal {} noenhanced background rgb 'white'\n",
          terminal(format, figure.width_mm, layout.height_mm));
    write(script, "set multiplot\nset samples 2\n");
    write_head(script, figure, layout);
    int next_data = 1;
    for (std::size_t row = 0; row < figure.rows.size(); ++row) {
        for (std::size_t i = 0; i < figure.rows[row].panels.size(); ++i) {
            if (!figure.rows[row].panels[i].blank)
                write_panel(script, figure.rows[row].panels[i], layout.plots[row][i],
                            {figure.width_mm, layout.height_mm}, next_data);
        }
    }
    write(script, "unset multiplot\n");
    return script;
}

std::vector<std::string> names_of_drawn_series(const Figure& figure) {
    std::vector<std::string> names;
    for (const Row& row : figure.rows) {
        for (const Panel& panel : row.panels) {
            if (panel.blank)
                continue;
            const std::vector<const Series*> drawn = drawn_series(panel);
            if (drawn.empty())
                names.emplace_back();
            for (const Series* series : drawn) {
                names.push_back(series->name);
                if (series->kind == Series::Kind::impulses && series->marker != Marker::none)
                    names.push_back(series->name);
            }
        }
    }
    return names;
}

}  // namespace isoseam
