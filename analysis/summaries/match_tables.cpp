#include "analysis/summaries/match_tables.h"

#include <fmt/format.h>

#include <Eigen/Geometry>
#include <cmath>

#include "analysis/summaries/text_layout.h"
#include "analysis/summaries/unit_words.h"
#include "analysis/summaries/value_words.h"

namespace isoseam {
namespace {

constexpr std::size_t kNameWidth = 24;

std::string contrast_row(const ConditionSummary& row) {
    std::string text = fmt::format("{}{:>5}", name_cell(row.condition, kNameWidth), row.settings);
    for (const Estimate& cone : row.contrast)
        text += fmt::format("{:>8}{:>8}", kInPercent.words(cone.mean), kInPercent.words(cone.sd));
    return text + fmt::format("{:>10}{:>8}{:>9}{:>6}\n", kInPercent.words(row.distance),
                              fixed(row.duration_s.mean, 1), row.refused_steps, row.starts_moved);
}

std::string contrast_table(const ConditionRows& rows) {
    std::string text = fmt::format("{:{}}{:>5}{:>48}\n", "", kNameWidth, "",
                                   "contrast from the predicted match, % (mean, SD)");
    text += fmt::format("{:<{}}{:>5}{:>8}{:>8}{:>8}{:>8}{:>8}{:>8}{:>10}{:>8}{:>9}{:>6}\n", "condition",
                        kNameWidth, "n", "L", "SD", "M", "SD", "S", "SD", "distance", "time s", "refused",
                        "moved");
    for (const ConditionSummary* row : rows)
        text += contrast_row(*row);
    return text;
}

std::string axis_rows(const ConditionSummary& row) {
    std::string text;
    const SpaceUnit unit = unit_of_space(row.space);
    const auto shown = [&unit](const std::optional<double>& value) {
        return fmt::format("{:>10}", unit.words(value));
    };
    for (std::size_t axis = 0; axis < row.axes.size(); ++axis) {
        const Estimate& setting = row.setting[axis];
        const std::optional<Interval>& mean = setting.interval_95;
        const RobustEstimate* robust = row.participant && row.robust[axis] ? &*row.robust[axis] : nullptr;
        const auto of_robust = [robust](double RobustEstimate::*member) {
            return robust != nullptr ? std::optional(robust->*member) : std::nullopt;
        };
        text += name_cell(row.condition, kConditionWidth) + name_cell(row.axes[axis], kAxisWidth) +
                shown(setting.mean) + shown(setting.sd) +
                shown(mean ? std::optional(mean->low) : std::nullopt) +
                shown(mean ? std::optional(mean->high) : std::nullopt) +
                shown(of_robust(&RobustEstimate::location)) + shown(of_robust(&RobustEstimate::scale)) +
                fmt::format("  {}\n", unit.name);
    }
    return text;
}

std::string axis_table(const ConditionRows& rows) {
    std::string text = fmt::format("\n{:{}}{:>20}{:>20}{:>20}\n", "", kConditionWidth + kAxisWidth, "setting",
                                   "95 % of the mean", "robust");
    text +=
        fmt::format("{:<{}}{:<{}}{:>10}{:>10}{:>10}{:>10}{:>10}{:>10}  {}\n", "condition", kConditionWidth,
                    "axis", kAxisWidth, "mean", "SD", "from", "to", "mean", "SD", "unit");
    for (const ConditionSummary* row : rows)
        text += axis_rows(*row);
    return text;
}

std::string range_rows(const ConditionSummary& row) {
    std::string text;
    const SpaceUnit unit = unit_of_space(row.space);
    for (std::size_t axis = 0; axis < row.axes.size(); ++axis) {
        const AxisRange& range = row.range[axis];
        text += name_cell(row.condition, kConditionWidth) + name_cell(row.axes[axis], kAxisWidth);
        for (const double value : {range.smallest, range.largest, range.midpoint(), range.half_range()})
            text += fmt::format("{:>11}", unit.words(value));
        const bool told = axis == 0 && row.axes_from_predicted;
        text += fmt::format("{:>13}  {}\n",
                            told        ? p_words(row.axes_from_predicted->p)
                            : axis == 0 ? "n.d."
                                        : "",
                            unit.name);
    }
    return text;
}

std::string range_table(const ConditionRows& rows) {
    std::string text = fmt::format("\n{:<{}}{:<{}}{:>11}{:>11}{:>11}{:>11}{:>13}  {}\n", "condition",
                                   kConditionWidth, "axis", kAxisWidth, "smallest", "largest", "midpoint",
                                   "half-range", "Hotelling p", "unit");
    for (const ConditionSummary* row : rows)
        text += range_rows(*row);
    return text;
}

// 179.6 degrees are 0 to a degree.
std::string angle_text(double angle_deg) {
    const std::string text = fixed(angle_deg, 0);
    return text == "180" ? "0" : text;
}

std::string ellipse_cells(const PlaneScatter& plane, EllipseKind kind, const SpaceUnit& unit) {
    const std::optional<Ellipse> ellipse = ellipse_of(plane, kind);
    if (!ellipse)
        return fmt::format("{:>8}{:>8}{:>7}", "n.d.", "n.d.", "n.d.");
    return fmt::format("{:>8}{:>8}{:>7}", unit.words(ellipse->semi_major), unit.words(ellipse->semi_minor),
                       ellipse->nearly_round ? "round" : angle_text(ellipse->angle_deg));
}

// A plane of two coordinates; `scatter_of` may be null for a row.
struct Plane {
    const char* title;
    const char* first;
    const char* second;
    SpaceUnit unit;
    bool tested;
};

template <class ScatterOf>
std::string plane_table(const ConditionRows& rows, const Plane& plane, const ScatterOf& scatter_of) {
    std::string text;
    for (const ConditionSummary* row : rows) {
        const PlaneScatter* scatter = scatter_of(*row);
        if (scatter == nullptr)
            continue;
        text += fmt::format("{}{:>8}{:>8}", name_cell(row->condition, kNameWidth),
                            plane.unit.words(scatter->mean[0]), plane.unit.words(scatter->mean[1]));
        text += ellipse_cells(*scatter, EllipseKind::of_settings, plane.unit) +
                ellipse_cells(*scatter, EllipseKind::of_mean, plane.unit);
        if (plane.tested)
            text += fmt::format("{:>11}", scatter->units && scatter->units->from_origin
                                              ? fixed(scatter->units->from_origin->p, 3)
                                              : "n.d.");
        text += "\n";
    }
    if (text.empty())
        return text;
    const auto head = [&plane](const char* word) {
        return plane.tested ? fmt::format("{:>11}\n", word) : std::string("\n");
    };
    return fmt::format("\n{:{}}{:>16}{:>23}{:>23}", "", kNameWidth, plane.title, "95 % of settings",
                       "95 % of the mean") +
           head("Hotelling") +
           fmt::format("{:<{}}{:>8}{:>8}{:>8}{:>8}{:>7}{:>8}{:>8}{:>7}", "condition", kNameWidth, plane.first,
                       plane.second, "major", "minor", "deg", "major", "minor", "deg") +
           head("p") + text;
}

std::string ls_table(const ConditionRows& rows) {
    return plane_table(
        rows, {"l, s x 1000", "l", "s", kInThousandths, true},
        [](const ConditionSummary& row) { return row.chromaticity ? &*row.chromaticity : nullptr; });
}

std::string more_planes(const ConditionRows& rows) {
    const auto contrasts = [](const PlaneScatter ContrastScatter::*plane) {
        return [plane](const ConditionSummary& row) {
            return row.contrast_scatter ? &((*row.contrast_scatter).*plane) : nullptr;
        };
    };
    return plane_table(rows, {"x, y x 1000", "x", "y", {kThousandths, 2, ""}, false},
                       [](const ConditionSummary& row) { return row.xy ? &*row.xy : nullptr; }) +
           plane_table(rows, {"u', v' x 1000", "u'", "v'", {kThousandths, 2, ""}, false},
                       [](const ConditionSummary& row) { return row.uv ? &*row.uv : nullptr; }) +
           plane_table(rows, {"contrast, %", "L", "M", {kPercent, 2, "%"}, false},
                       contrasts(&ContrastScatter::lm)) +
           plane_table(rows, {"contrast, %", "L", "S", {kPercent, 2, "%"}, false},
                       contrasts(&ContrastScatter::ls));
}

// A direction and its opposite are one: the largest part is shown as positive.
std::string direction_text(Eigen::Vector3d direction) {
    constexpr double kNone = 0.005;  // shown as 0.00
    Eigen::Index main = 0;
    direction.cwiseAbs().maxCoeff(&main);
    if (direction[main] < 0.0)
        direction = -direction;
    std::string text;
    for (Eigen::Index cone = 0; cone < 3; ++cone) {
        if (!(std::abs(direction[cone]) >= kNone))
            continue;
        const char* sign = direction[cone] < 0.0 ? "- " : text.empty() ? "" : "+ ";
        text += fmt::format("{}{}{:.2f} {}", text.empty() ? "" : " ", sign, std::abs(direction[cone]),
                            "LMS"[cone]);
    }
    return text;
}

std::string reason_without_test(const ConditionSummary& row) {
    const std::vector<Eigen::Vector3d>& not_reached = row.contrast_scatter->not_reached;
    if (not_reached.size() == 3)
        return "all settings asked for the same light";
    if (not_reached.size() == 2)
        return fmt::format("its axes move settings along {} only; other scatter comes from codes",
                           direction_text(not_reached[0].cross(not_reached[1])));
    if (not_reached.size() == 1)
        return fmt::format("its axes do not move settings along {}; scatter there comes from codes",
                           direction_text(not_reached[0]));
    return row.axes.size() < 3 ? "it has fewer than three axes"
                               : fmt::format("it has too few {}s", to_string(row.unit));
}

std::string contrast_test_text(const ConditionRows& rows) {
    std::string text;
    for (const ConditionSummary* row : rows) {
        if (!row->contrast_scatter)
            continue;
        const std::optional<HotellingTest>& test = row->contrast_scatter->from_predicted;
        text += wrapped(fmt::format(
            "{}: {}", row->condition,
            test ? "Hotelling's test in L, M and S contrast: p " + p_words(test->p)
                 : fmt::format("no test in L, M and S contrast, since {}.", reason_without_test(*row))));
    }
    return text.empty() ? text : "\n" + text;
}

std::string far_text(const ConditionRows& rows) {
    std::string text;
    for (const ConditionSummary* row : rows) {
        const SpaceUnit unit = unit_of_space(row->space);
        for (const FarSetting& far : row->far)
            text +=
                wrapped(fmt::format("Far from the others of {}: {}, trial {}, axis {}: {} {}, {} robust SDs "
                                    "from the robust mean. It counts all the same.",
                                    row->condition, far.session, far.trial, far.axis, unit.words(far.setting),
                                    unit.name, fixed(far.scales, 1)));
    }
    return text.empty() ? text : "\n" + text;
}

}  // namespace

std::string condition_tables(const ConditionRows& rows) {
    std::string text = contrast_table(rows) + axis_table(rows) + range_table(rows) + "\n";
    for (const std::string& words : unit_words(rows))
        text += wrapped(words);
    return text;
}

std::string scatter_tables(const ConditionRows& rows, bool full) {
    return ls_table(rows) + (full ? more_planes(rows) : "") + contrast_test_text(rows) + far_text(rows);
}

std::string serial_table(const ConditionRows& rows) {
    std::string text;
    for (const ConditionSummary* row : rows) {
        for (std::size_t axis = 0; axis < row->axes.size(); ++axis) {
            const std::optional<SerialCorrelation>& serial = row->serial[axis];
            if (!serial)
                continue;
            text += name_cell(row->condition, kConditionWidth) + name_cell(row->axes[axis], kAxisWidth) +
                    fmt::format("{:>10}{:>10}{:>13}{:>13}{:>10}\n", serial->sessions, serial->settings,
                                fixed(serial->lag_one, 3), fixed(serial->expected, 3), p_words(serial->p));
        }
    }
    if (text.empty())
        return text;
    return fmt::format("\nSerial correlation within sessions\n{:<{}}{:<{}}{:>10}{:>10}{:>13}{:>13}{:>10}\n",
                       "condition", kConditionWidth, "axis", kAxisWidth, "sessions", "settings",
                       "correlation", "by chance", "p") +
           text;
}

}  // namespace isoseam
