#include "analysis/figures/calibration_figure.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "analysis/figures/gamut_figure.h"
#include "base/errors.h"
#include "colorimetry/colour_space.h"

namespace isoseam {
namespace {

using std::size_t;

constexpr size_t kPanelsInRow = 3;
constexpr double kRoom = 1.12;        // of an axis over the largest value
constexpr double kKeyRoom = 1.45;     // the same where a key stands above the data,
constexpr double kConeKeyRoom = 2.0;  // and where it has four lines

const std::array<const char*, 3> kCones{"L", "M", "S"};
const std::array<Marker, 3> kConeMarkers{Marker::filled_circle, Marker::open_square, Marker::cross};
const std::array<Marker, 7> kMarkers{
    Marker::filled_circle, Marker::open_square, Marker::cross, Marker::open_triangle,
    Marker::filled_square, Marker::open_circle, Marker::dot};

Stroke curve_stroke(size_t i) {
    const std::array<Dash, 4> dashes{Dash::solid, Dash::dashed, Dash::dotted, Dash::dash_dotted};
    return {i / dashes.size() % 2 == 0 ? Ink::black : Ink::grey, dashes[i % dashes.size()], 0.5};
}

double largest_size(const std::vector<double>& values) {
    double largest = 0.0;
    for (const double value : values) {
        if (std::isfinite(value))
            largest = std::max(largest, std::abs(value));
    }
    return largest;
}

// From -size to size times `room`, never empty.
Axis axis_around_zero(const std::string& label, double size, double room) {
    const double end = size > 0.0 ? size : 1.0;
    return {.label = label, .from = -kRoom * end, .to = room * end, .zero_line = true};
}

Series level_line(double from, double to, double level, const std::string& name) {
    return {.kind = Series::Kind::line,
            .name = name,
            .x = {from, to},
            .y = {level, level},
            .stroke = {Ink::grey, Dash::dashed, 0.3}};
}

Series markers(const std::string& name, Marker marker, std::vector<double> x, std::vector<double> y) {
    return {.kind = Series::Kind::points,
            .name = name,
            .x = std::move(x),
            .y = std::move(y),
            .stroke = {Ink::black, Dash::solid, 0.3},
            .marker = marker};
}

std::vector<double> counted(size_t count) {
    std::vector<double> numbers;
    for (size_t i = 1; i <= count; ++i)
        numbers.push_back(static_cast<double>(i));
    return numbers;
}

Axis counting_axis(const std::string& label, size_t count) {
    return {.label = label, .from = 0.5, .to = static_cast<double>(count) + 0.5};
}

// The three cones' errors of each colour as markers, between lines at the limit.
Panel cone_panel(const std::string& x_label, const std::string& y_label,
                 const std::vector<ConePercent>& errors, double limit) {
    Panel panel{.x = counting_axis(x_label, errors.size()), .key = Key::top_right};
    double size = limit;
    for (size_t cone = 0; cone < kCones.size(); ++cone) {
        std::vector<double> y;
        for (const ConePercent& error : errors)
            y.push_back(error[cone]);
        size = std::max(size, largest_size(y));
        panel.series.push_back(
            markers(fmt::format("{} cone", kCones[cone]), kConeMarkers[cone], counted(errors.size()), y));
    }
    panel.series.push_back(level_line(*panel.x.from, *panel.x.to, limit, "limit"));
    panel.series.push_back(level_line(*panel.x.from, *panel.x.to, -limit, ""));
    panel.y = axis_around_zero(y_label, size, kConeKeyRoom);
    return panel;
}

Panel tone_panel(const ToneFigureCurve& curve, bool leftmost) {
    Panel panel{.title = curve.name,
                .x = {.from = 0.0, .to = 1.04, .tick_step = 0.25, .has_tick_texts = false},
                .y = {.label = leftmost ? "light, of full" : "", .from = 0.0, .to = 1.08}};
    panel.series.push_back(
        {.kind = Series::Kind::line, .name = "fitted, " + curve.name, .x = curve.drive, .y = curve.light});
    panel.series.push_back(
        markers("read, " + curve.name, Marker::open_circle, curve.read_drive, curve.read_light));
    return panel;
}

Panel residual_panel(const ToneFigureCurve& curve, bool leftmost, double size) {
    Panel panel{.x = {.label = "drive", .from = 0.0, .to = 1.04, .tick_step = 0.25},
                .y = axis_around_zero(leftmost ? "residual, L*" : "", size, kRoom)};
    panel.series.push_back(
        markers("residual, " + curve.name, Marker::filled_circle, curve.read_drive, curve.residual));
    return panel;
}

struct Point {
    double x, y;
};

double turn(const Point& a, const Point& b, const Point& c) {
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

// Convex hull, closed, by the monotone chain.
std::vector<Point> hull_of(std::vector<Point> points) {
    std::sort(points.begin(), points.end(),
              [](const Point& a, const Point& b) { return a.x < b.x || (a.x == b.x && a.y < b.y); });
    std::vector<Point> hull;
    for (int side = 0; side < 2; ++side) {
        const size_t start = hull.size();
        for (const Point& point : points) {
            while (hull.size() >= start + 2 && turn(hull[hull.size() - 2], hull.back(), point) <= 0.0)
                hull.pop_back();
            hull.push_back(point);
        }
        hull.pop_back();
        std::reverse(points.begin(), points.end());
    }
    hull.push_back(hull.front());
    return hull;
}

Label name_label(const NamedChromaticity& of) {
    return {.text = of.name,
            .x = of.u_prime,
            .y = of.v_prime,
            .dx_mm = 2.0,
            .dy_mm = -3.0,
            .anchor = Label::Anchor::left};
}

std::string percent_words(double percent) {
    return fmt::format("{:+.1f} %", percent);
}

}  // namespace

Figure primaries_figure(const std::string& quantity, const std::vector<SpectrumCurve>& primaries) {
    Panel panel;
    double smallest = 0.0;
    double largest = 0.0;
    for (size_t i = 0; i < primaries.size(); ++i) {
        const SpectrumCurve& curve = primaries[i];
        panel.series.push_back({.kind = Series::Kind::line,
                                .name = curve.name,
                                .curve_label = curve.name,
                                .x = curve.wavelengths_nm,
                                .y = curve.values,
                                .stroke = curve_stroke(i)});
        smallest = std::min(smallest, *std::min_element(curve.values.begin(), curve.values.end()));
        largest = std::max(largest, *std::max_element(curve.values.begin(), curve.values.end()));
    }
    const std::vector<double>& grid = primaries.front().wavelengths_nm;
    panel.x = {.label = "wavelength, nm", .from = grid.front(), .to = grid.back(), .tick_step = 50.0};
    panel.y = {
        .label = quantity, .from = kRoom * smallest, .to = kRoom * largest, .zero_line = smallest < 0.0};
    return {.title = "primaries at full drive, black subtracted",
            .description = "Spectra of the primaries at full drive, one curve each, named at the curve.",
            .rows = {{1.0, {panel}}}};
}

Figure tone_figure(const std::vector<ToneFigureCurve>& curves) {
    Figure figure{.title = "tone responses and their residuals",
                  .description =
                      "For each primary its light against its drive: what was read as circles, the fitted "
                      "curve as a line; below, what was read less what was fitted, in CIE lightness."};
    double size = 0.0;
    for (const ToneFigureCurve& curve : curves)
        size = std::max(size, largest_size(curve.residual));
    for (size_t first = 0; first < curves.size(); first += kPanelsInRow) {
        Row tones{2.0, {}};
        Row residuals{1.2, {}};
        for (size_t i = first; i < std::min(first + kPanelsInRow, curves.size()); ++i) {
            tones.panels.push_back(tone_panel(curves[i], i == first));
            residuals.panels.push_back(residual_panel(curves[i], i == first, size));
        }
        figure.rows.push_back(tones);
        figure.rows.push_back(residuals);
    }
    figure.width_mm = 190.0;
    figure.height_mm = 55.0 * static_cast<double>(figure.rows.size());
    return figure;
}

Figure score_figure(const std::vector<std::string>& forms, const std::vector<FormScores>& primaries) {
    Panel panel{.x = {.from = 0.4, .to = static_cast<double>(forms.size()) + 0.6},
                .y = {.label = "error, L*", .from = 0.0},
                .key = Key::top_right};
    for (size_t i = 0; i < forms.size(); ++i)
        panel.x.ticks.push_back({static_cast<double>(i + 1), forms[i]});
    double largest = 0.0;
    for (size_t i = 0; i < primaries.size(); ++i) {
        ISOSEAM_CHECK(primaries[i].scores.size() == forms.size());
        largest = std::max(largest, largest_size(primaries[i].scores));
        std::vector<double> x = counted(forms.size());
        const double shift =
            0.12 * (static_cast<double>(i) - 0.5 * static_cast<double>(primaries.size() - 1));
        for (double& at : x)
            at += shift;
        panel.series.push_back(
            markers(primaries[i].name, kMarkers[i % kMarkers.size()], x, primaries[i].scores));
    }
    panel.y.to = largest > 0.0 ? kKeyRoom * largest : 1.0;
    return {.title = "forms of tone response: error on levels that they have not seen",
            .description =
                "For each form of tone response and each primary the error, in CIE lightness, on levels left "
                "out of the fit; lower is better.",
            .rows = {{1.0, {panel}}},
            .height_mm = 75.0};
}

Figure additivity_figure(const std::vector<ConePercent>& mixtures, double limit_percent) {
    return {.title = "white and mixtures against the sum of their primaries",
            .description =
                fmt::format("Departure of {} mixtures from the sum of their primaries for the L, M and S "
                            "cones, in per cent of white's excitation; dashed lines at the limit of {:g} %.",
                            mixtures.size(), limit_percent),
            .rows = {{1.0,
                      {cone_panel("mixture, as numbered in the table", "read less sum, % of white", mixtures,
                                  limit_percent)}}},
            .height_mm = 80.0};
}

Figure verification_figure(const VerificationErrors& errors) {
    ISOSEAM_CHECK(errors.de2000.size() == errors.cone_contrast_percent.size());
    Panel top{.x = counting_axis("", errors.de2000.size()), .y = {.label = "CIEDE2000", .from = 0.0}};
    top.x.has_tick_texts = false;
    top.series.push_back({.kind = Series::Kind::impulses,
                          .name = "CIEDE2000",
                          .x = counted(errors.de2000.size()),
                          .y = errors.de2000,
                          .stroke = {Ink::black, Dash::solid, 0.3},
                          .marker = Marker::filled_circle});
    top.series.push_back(level_line(*top.x.from, *top.x.to, errors.de2000_limit, "limit"));
    top.y.to = kRoom * std::max(errors.de2000_limit, largest_size(errors.de2000));
    return {.title = "verification: errors of each colour",
            .description =
                fmt::format("Above, the CIEDE2000 of {} colours; below, the error of their cone contrasts on "
                            "a mid-grey for the L, M and S cones; dashed lines at the limits.",
                            errors.de2000.size()),
            .rows = {{1.0, {top}},
                     {1.2,
                      {cone_panel("colour, as numbered in the table", "cone contrast error, %",
                                  errors.cone_contrast_percent, errors.cone_contrast_limit_percent)}}},
            .height_mm = 130.0};
}

Figure gamut_figure(const std::vector<NamedChromaticity>& primaries, const NamedChromaticity& white) {
    std::vector<Point> points;
    Panel panel{.x = {.label = "u\u2032", .from = 0.0, .to = 0.68, .tick_step = 0.1},
                .y = {.label = "v\u2032", .from = 0.0, .to = 0.62, .tick_step = 0.1}};
    Series marks = markers("primaries", Marker::filled_circle, {}, {});
    for (const NamedChromaticity& primary : primaries) {
        points.push_back({primary.u_prime, primary.v_prime});
        add_point(marks, primary.u_prime, primary.v_prime);
        panel.labels.push_back(name_label(primary));
    }
    panel.labels.push_back(name_label(white));
    Series gamut{.name = "gamut", .stroke = {Ink::black, Dash::solid, 0.5}};
    for (const Point& point : hull_of(points))
        add_point(gamut, point.x, point.y);
    panel.series = {uv_prime_spectrum("spectral locus", 380, 700, 2), gamut, marks,
                    markers(white.name, Marker::cross, {white.u_prime}, {white.v_prime})};
    std::string words = "Chromaticities in u', v' (CIE 1976):";
    for (const NamedChromaticity& primary : primaries)
        words += fmt::format(" {} {:.4f}, {:.4f};", primary.name, primary.u_prime, primary.v_prime);
    words += fmt::format(" {} {:.4f}, {:.4f}. Grey: the spectral locus.", white.name, white.u_prime,
                         white.v_prime);
    return {.title = "gamut",
            .description = words,
            .rows = {{1.0, {panel}}},
            .width_mm = 130.0,
            .height_mm = 112.0};
}

Figure drift_figure(const WhitesOverTime& whites) {
    Panel panel{.x = {.label = whites.timed ? "time since the first reading, min" : "reading of white"},
                .y = axis_around_zero(
                    "white, % from its mean",
                    std::max(largest_size(whites.percent), largest_size(whites.curve_percent)), kRoom)};
    if (!whites.timed)
        panel.x = counting_axis(panel.x.label, whites.at.size());
    panel.series.push_back(markers("read", Marker::open_circle, whites.at, whites.percent));
    if (!whites.curve_at.empty()) {
        panel.series.push_back({.kind = Series::Kind::line,
                                .name = "taken out of the readings",
                                .x = whites.curve_at,
                                .y = whites.curve_percent});
    }
    return {.title = "white while the screen was measured",
            .description = fmt::format(
                "Departure of {} readings of white from their mean, in per cent{}.", whites.at.size(),
                whites.curve_at.empty() ? "" : "; the line is the drift that was taken out of all readings"),
            .rows = {{1.0, {panel}}},
            .height_mm = 70.0};
}

Figure uniformity_figure(const std::vector<WhiteAtPlace>& places) {
    Panel panel{.x = {.label = "x, of the screen's width", .from = 0.0, .to = 1.0, .tick_step = 0.25},
                .y = {.label = "y, of the screen's height", .from = 0.0, .to = 1.0, .tick_step = 0.25}};
    Series marks = markers("places", Marker::filled_circle, {}, {});
    std::string words = "Luminance of white at places of the screen against the usual place:";
    for (const WhiteAtPlace& place : places) {
        add_point(marks, place.x, place.y);
        const auto anchor = place.x < 0.25   ? Label::Anchor::left
                            : place.x > 0.75 ? Label::Anchor::right
                                             : Label::Anchor::centre;
        panel.labels.push_back({.text = percent_words(place.percent),
                                .x = place.x,
                                .y = place.y,
                                .dy_mm = place.y > 0.9 ? -4.0 : 4.0,
                                .anchor = anchor});
        words += fmt::format(" {} at ({:.2g}, {:.2g});", percent_words(place.percent), place.x, place.y);
    }
    words.back() = '.';
    panel.series = {marks};
    return {.title = "white at places of the screen, luminance against the usual place",
            .description = words,
            .rows = {{1.0, {panel}}},
            .width_mm = 150.0,
            .height_mm = 90.0};
}

Figure area_figure(const std::vector<WhiteOfArea>& sizes) {
    Series marks = markers("white", Marker::filled_circle, {}, {});
    std::string words = "Luminance of white on patches of other sizes against the usual patch:";
    for (const WhiteOfArea& size : sizes) {
        add_point(marks, size.area_percent, size.percent);
        words +=
            fmt::format(" {} on {:.3g} % of the screen;", percent_words(size.percent), size.area_percent);
    }
    words.back() = '.';
    Panel panel{.x = {.label = "lit area, % of the screen", .from = 0.0, .to = 105.0},
                .y = axis_around_zero("white, % from usual", largest_size(marks.y), kRoom),
                .series = {marks}};
    return {.title = "white on patches of other sizes",
            .description = words,
            .rows = {{1.0, {panel}}},
            .height_mm = 70.0};
}

}  // namespace isoseam
