#include "analysis/figures/curve_labels.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "analysis/figures/figure_text.h"
#include "base/errors.h"

namespace isoseam {
namespace {

constexpr double kOffsetMm = 3.2;     // of a label's middle from the point of the curve that it stands beside
constexpr double kOwnCurveMm = 2.5;   // the nearest that its own curve may come
constexpr double kCandidateMm = 1.5;  // between places that are tried along a curve
constexpr double kSampleMm = 0.5;     // between points that stand for a curve
constexpr double kClearEnoughMm = 5.0;
// A label may move this far from the peak to gain a millimetre of clearance.
constexpr double kMmPerMmOfClearance = 7.0;

struct Point {
    double x_mm = 0.0;
    double y_mm = 0.0;
};

// A side of a curve, and how much farther from the peak a label would rather stand than there.
struct Side {
    double x = 0.0;
    double y = 0.0;
    double cost_mm = 0.0;
};

double distance_mm(const Point& a, const Point& b) {
    return std::hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm);
}

// Where along an axis of length_mm a value lies. NaN for what a logarithmic axis cannot show.
double along_mm(const Axis& axis, double value, double length_mm) {
    ISOSEAM_CHECK(axis.from && axis.to, "labels on curves want axes with from and to");
    const auto scaled = [&](double v) { return axis.logarithmic ? std::log(v) : v; };
    if (axis.logarithmic && !(value > 0.0))
        return std::numeric_limits<double>::quiet_NaN();
    return length_mm * (scaled(value) - scaled(*axis.from)) / (scaled(*axis.to) - scaled(*axis.from));
}

bool is_inside(const Point& point, const Area& plot, double margin_mm) {
    return point.x_mm >= margin_mm && point.x_mm <= plot.width_mm - margin_mm && point.y_mm >= margin_mm &&
           point.y_mm <= plot.height_mm - margin_mm;
}

// The visible part of a curve as points that lie close together.
std::vector<Point> visible_points(const Series& series, const Panel& panel, const Area& plot) {
    const Axis& y_axis = series.on_right_axis ? *panel.right : panel.y;
    std::vector<Point> points;
    Point last{std::numeric_limits<double>::quiet_NaN(), 0.0};
    for (std::size_t i = 0; i < series.x.size(); ++i) {
        const Point next{along_mm(panel.x, series.x[i], plot.width_mm),
                         along_mm(y_axis, series.y[i], plot.height_mm)};
        const double step_mm = distance_mm(last, next);
        const int parts =
            step_mm > kSampleMm ? static_cast<int>(std::min(step_mm / kSampleMm, 1000.0)) + 1 : 1;
        for (int part = std::isnan(step_mm) ? parts : 1; part <= parts; ++part) {
            const double share = static_cast<double>(part) / parts;
            const Point point = share == 1.0 ? next
                                             : Point{std::lerp(last.x_mm, next.x_mm, share),
                                                     std::lerp(last.y_mm, next.y_mm, share)};
            if (is_inside(point, plot, 0.0))
                points.push_back(point);
        }
        last = std::isnan(next.y_mm) ? Point{next.y_mm, 0.0} : next;
    }
    return points;
}

double clearance_mm(const Point& place, const std::vector<Point>& points) {
    double nearest_mm = std::numeric_limits<double>::infinity();
    for (const Point& point : points)
        nearest_mm = std::min(nearest_mm, distance_mm(place, point));
    return nearest_mm;
}

// Points along a curve to try a label at, from the peak outwards.
std::vector<Point> points_to_try(const std::vector<Point>& curve, const Point& peak) {
    std::vector<Point> chosen{peak};
    Point last{-std::numeric_limits<double>::infinity(), 0.0};
    for (const Point& point : curve) {
        if (distance_mm(point, last) < kCandidateMm)
            continue;
        chosen.push_back(point);
        last = point;
    }
    std::stable_sort(chosen.begin(), chosen.end(), [&](const Point& a, const Point& b) {
        return distance_mm(a, peak) < distance_mm(b, peak);
    });
    return chosen;
}

// The best place beside `own`; `others` are all points to stay clear of.
Point best_place(const std::vector<Point>& own, const std::vector<Point>& others, const Area& plot) {
    const Point peak = *std::max_element(own.begin(), own.end(),
                                         [](const Point& a, const Point& b) { return a.y_mm < b.y_mm; });
    const double s = std::sqrt(0.5);
    const std::array<Side, 8> sides{{{0.0, 1.0, 0.0},
                                     {s, s, 1.0},
                                     {-s, s, 1.0},
                                     {1.0, 0.0, 2.0},
                                     {-1.0, 0.0, 2.0},
                                     {s, -s, 5.0},
                                     {-s, -s, 5.0},
                                     {0.0, -1.0, 5.0}}};
    Point best{peak.x_mm, peak.y_mm + kOffsetMm};
    double best_value = -std::numeric_limits<double>::infinity();
    for (const Point& point : points_to_try(own, peak)) {
        for (const Side& side : sides) {
            const double cost = (distance_mm(point, peak) + side.cost_mm) / kMmPerMmOfClearance;
            if (kClearEnoughMm - cost <= best_value)
                continue;
            const Point place{point.x_mm + kOffsetMm * side.x, point.y_mm + kOffsetMm * side.y};
            if (!is_inside(place, plot, 2.0) || clearance_mm(place, own) < kOwnCurveMm)
                continue;
            const double value = std::min(clearance_mm(place, others), kClearEnoughMm) - cost;
            if (value > best_value) {
                best_value = value;
                best = place;
            }
        }
    }
    return best;
}

Label label_at(const Point& place, const Series& series, const Panel& panel) {
    Label label;
    label.text = series.curve_label;
    label.ink = series.stroke.ink;
    // Anchored at the corner of the axes.
    label.x = *panel.x.from;
    label.y = *panel.y.from;
    label.dx_mm = place.x_mm;
    label.dy_mm = place.y_mm;
    return label;
}

}  // namespace

std::vector<Label> curve_labels(const Panel& panel, const Area& plot) {
    const bool wants_labels = std::any_of(panel.series.begin(), panel.series.end(),
                                          [](const Series& series) { return !series.curve_label.empty(); });
    if (!wants_labels)
        return {};
    std::vector<std::vector<Point>> curves;
    for (const Series& series : panel.series)
        curves.push_back(visible_points(series, panel, plot));
    std::vector<Label> labels;
    std::vector<Point> taken;  // by labels
    for (std::size_t i = 0; i < panel.series.size(); ++i) {
        const Series& series = panel.series[i];
        if (series.curve_label.empty() || series.kind != Series::Kind::line || curves[i].empty())
            continue;
        std::vector<Point> others = taken;
        for (std::size_t k = 0; k < curves.size(); ++k) {
            if (k != i)
                others.insert(others.end(), curves[k].begin(), curves[k].end());
        }
        const Point place = best_place(curves[i], others, plot);
        // A word is wider than a letter: its ends count as well.
        const double half_mm = 0.5 * text_width_mm(series.curve_label, kTextPt);
        for (const double dx_mm : {-half_mm, 0.0, half_mm})
            taken.push_back({place.x_mm + dx_mm, place.y_mm});
        labels.push_back(label_at(place, series, panel));
    }
    return labels;
}

}  // namespace isoseam
