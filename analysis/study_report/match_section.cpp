#include "analysis/study_report/match_section.h"

#include <fmt/format.h>

#include <cmath>

#include "analysis/study_report/figure_parts.h"
#include "analysis/study_report/match_figures.h"
#include "analysis/study_report/section_parts.h"
#include "analysis/study_report/word_lists.h"
#include "analysis/summaries/text_layout.h"
#include "analysis/summaries/unit_words.h"
#include "analysis/summaries/value_words.h"

namespace isoseam {
namespace {

std::string who(const std::optional<std::string>& participant) {
    return participant.value_or("all together");
}

PageTable contrast_table(const MatchSeries& series) {
    PageTable table{
        "Settings: cone contrast from the predicted match in % (mean and SD), length of the mean "
        "contrast, and time.",
        {"participant", "condition", "n", "L", "SD", "M", "SD", "S", "SD", "distance", "time, s"}};
    for (const ConditionSummary& row : series.conditions) {
        std::vector<std::string> cells{who(row.participant), row.condition, std::to_string(row.settings)};
        for (const Estimate& cone : row.contrast) {
            cells.push_back(kInPercent.words(cone.mean));
            cells.push_back(kInPercent.words(cone.sd));
        }
        cells.push_back(kInPercent.words(row.distance));
        cells.push_back(fixed(row.duration_s.mean, 1));
        table.rows.push_back(cells);
    }
    return table;
}

PageTable axis_table(const MatchSeries& series) {
    PageTable table{"Settings along each axis of adjustment; 0 is the predicted match.",
                    {"participant", "condition", "axis", "unit", "n", "mean", "SD", "95 % of the mean",
                     "robust mean", "midpoint", "half-range"}};
    for (const ConditionSummary& row : series.conditions) {
        const SpaceUnit unit = unit_on_page(row.space);
        for (std::size_t axis = 0; axis < row.axes.size(); ++axis) {
            const Estimate& setting = row.setting[axis];
            const AxisRange& range = row.range[axis];
            const bool has_robust = row.participant && row.robust[axis];
            table.rows.push_back({who(row.participant), row.condition, row.axes[axis], unit.name,
                                  std::to_string(row.settings), unit.words(setting.mean),
                                  unit.words(setting.sd), unit.words(setting.interval_95),
                                  has_robust ? unit.words(row.robust[axis]->location) : "n.d.",
                                  unit.words(range.midpoint()), unit.words(range.half_range())});
        }
    }
    return table;
}

std::vector<std::string> ellipse_cells(const PlaneScatter& plane, EllipseKind kind) {
    const std::optional<Ellipse> ellipse = ellipse_of(plane, kind);
    if (!ellipse)
        return {"n.d.", "n.d.", "n.d."};
    return {kInThousandths.words(ellipse->semi_major), kInThousandths.words(ellipse->semi_minor),
            ellipse->nearly_round ? "\u2013" : fixed(ellipse->angle_deg, 0)};
}

void append(std::vector<std::string>& cells, const std::vector<std::string>& more) {
    cells.insert(cells.end(), more.begin(), more.end());
}

PageTable scatter_table(const MatchSeries& series) {
    PageTable table{
        "Scatter in MacLeod-Boynton l, s (\u00d7 1000; setting less predicted match): mean, semi-axes and "
        "angle of the 95 % ellipses of settings and of the mean, and p of Hotelling\u2019s test that the "
        "mean is the predicted match.",
        {"participant", "condition", "l", "s", "settings: major", "minor", "deg", "mean: major", "minor",
         "deg", "p"}};
    for (const ConditionSummary& row : series.conditions) {
        if (!row.chromaticity)
            continue;
        const PlaneScatter& scatter = *row.chromaticity;
        std::vector<std::string> cells{who(row.participant), row.condition,
                                       kInThousandths.words(scatter.mean[0]),
                                       kInThousandths.words(scatter.mean[1])};
        append(cells, ellipse_cells(scatter, EllipseKind::of_settings));
        append(cells, ellipse_cells(scatter, EllipseKind::of_mean));
        cells.push_back(scatter.units && scatter.units->from_origin ? p_words(scatter.units->from_origin->p)
                                                                    : "n.d.");
        table.rows.push_back(cells);
    }
    return table;
}

PageTable diagram_table(const MatchSeries& series) {
    constexpr int kChromaticityDecimals = 5;
    PageTable table{
        "Chromaticity of the adjusted light: mean, and 95 % ellipse of settings (semi-axes "
        "\u00d7 1000), in CIE 1931 x, y and in CIE 1976 u\u2032, v\u2032.",
        {"participant", "condition", "x", "y", "major", "minor", "deg", "u\u2032", "v\u2032", "major",
         "minor", "deg"}};
    for (const ConditionSummary& row : series.conditions) {
        if (!row.xy && !row.uv)
            continue;
        std::vector<std::string> cells{who(row.participant), row.condition};
        for (const std::optional<PlaneScatter>* scatter : {&row.xy, &row.uv}) {
            if (!*scatter) {
                append(cells, {"n.d.", "n.d.", "n.d.", "n.d.", "n.d."});
                continue;
            }
            append(cells, {fixed((*scatter)->mean[0], kChromaticityDecimals),
                           fixed((*scatter)->mean[1], kChromaticityDecimals)});
            append(cells, ellipse_cells(**scatter, EllipseKind::of_settings));
        }
        table.rows.push_back(cells);
    }
    return table;
}

Interval of_roots(const Interval& variances) {
    return {std::sqrt(std::max(0.0, variances.low)), std::sqrt(std::max(0.0, variances.high))};
}

PageTable components_table(const MatchSeries& series) {
    PageTable table{"Spread within and between participants, as SDs, with 95 % intervals.",
                    {"condition", "coordinate", "unit", "participants", "within", "95 %", "between", "95 %",
                     "p", "differ?"}};
    for (const ComponentsSummary& one : series.components) {
        const SpaceUnit unit =
            unit_of_coordinate(one.coordinate, unit_on_page(one.space), "%", "\u00d7 1000");
        const VarianceComponents& parts = one.components;
        table.rows.push_back({one.condition, one.coordinate, unit.name, std::to_string(parts.observers),
                              unit.words(std::sqrt(parts.within)), unit.words(of_roots(parts.within_95)),
                              parts.between > 0.0 ? unit.words(std::sqrt(parts.between)) : "0",
                              unit.words(of_roots(parts.between_95)), p_words(parts.p),
                              parts.observers_differ() ? "yes" : "not told from 0"});
    }
    return table;
}

std::vector<std::string> slope_cells(const std::optional<PooledSlope>& slope, const SpaceUnit& unit) {
    if (!slope)
        return {"n.d.", "n.d.", "n.d."};
    return {unit.words(slope->slope), unit.words(slope->interval_95), p_words(slope->p)};
}

PageTable trend_table(const MatchSeries& series) {
    PageTable table{
        "Drift over the session, and what starting points do: common slopes within conditions of sessions, "
        "for all together the mean of the participants\u2019 slopes, with 95 % intervals. A start of 0 means "
        "no effect, of 1 that settings stay where they started.",
        {"participant", "axis", "unit", "drift per 100 trials", "95 %", "p", "start", "95 %", "p"}};
    constexpr double kTrials = 100.0;
    constexpr int kStartDecimals = 4;
    for (const ParticipantTrends& one : series.trends) {
        for (const AxisTrend& trend : one.axes) {
            const SpaceUnit unit = unit_on_page(trend.space);
            std::vector<std::string> cells{who(one.participant), trend.axis, unit.name};
            append(cells, slope_cells(trend.drift, {kTrials * unit.factor, unit.decimals, ""}));
            append(cells, slope_cells(trend.start, {1.0, kStartDecimals, ""}));
            table.rows.push_back(cells);
        }
    }
    return table;
}

PageTable serial_table(const MatchSeries& series) {
    PageTable table{
        "Serial correlation within sessions: of a setting with the next one of its condition, after the "
        "session\u2019s mean and straight drift; what independent settings give; and p that they differ so "
        "far from it.",
        {"participant", "condition", "axis", "sessions", "settings", "correlation", "by chance", "p"}};
    constexpr int kDecimals = 3;
    for (const ConditionSummary& row : series.conditions) {
        for (std::size_t axis = 0; axis < row.axes.size(); ++axis) {
            const std::optional<SerialCorrelation>& serial = row.serial[axis];
            if (serial)
                table.rows.push_back({who(row.participant), row.condition, row.axes[axis],
                                      std::to_string(serial->sessions), std::to_string(serial->settings),
                                      fixed(serial->lag_one, kDecimals), fixed(serial->expected, kDecimals),
                                      p_words(serial->p)});
        }
    }
    return table;
}

// What the means of each participant, and of all together, rest on.
std::vector<std::string> unit_items(const MatchSeries& series) {
    std::vector<std::pair<std::optional<std::string>, std::vector<const ConditionSummary*>>> blocks;
    for (const ConditionSummary& row : series.conditions) {
        if (blocks.empty() || blocks.back().first != row.participant)
            blocks.push_back({row.participant, {}});
        blocks.back().second.push_back(&row);
    }
    std::vector<std::string> items;
    for (const auto& [participant, rows] : blocks) {
        for (const std::string& words : unit_words(rows))
            items.push_back(fmt::format("{}: {}", who(participant), words));
    }
    return items;
}

std::vector<std::string> far_items(const MatchSeries& series) {
    std::vector<std::string> items;
    for (const ConditionSummary& row : series.conditions) {
        const SpaceUnit unit = unit_on_page(row.space);
        for (const FarSetting& far : row.far)
            items.push_back(fmt::format(
                "{}, condition {}, session {}, trial {}: {} at {} {}, {} robust SDs from the robust mean.",
                who(row.participant), quoted_words(row.condition), far.session, far.trial, far.axis,
                unit.words(far.setting), unit.name, fixed(far.scales, 1)));
    }
    return items;
}

std::vector<std::string> gamut_items(const MatchSeries& series) {
    std::vector<std::string> items;
    for (const ConditionSummary& row : series.conditions) {
        if (!row.participant || (row.refused_steps == 0 && row.starts_moved == 0))
            continue;
        std::vector<std::string> parts;
        if (row.refused_steps > 0)
            parts.push_back(counted(static_cast<std::size_t>(row.refused_steps), "step") +
                            " out of gamut asked for and not taken");
        if (row.starts_moved > 0)
            parts.push_back(counted(static_cast<std::size_t>(row.starts_moved), "starting point") +
                            " out of gamut and moved towards the predicted match");
        items.push_back(fmt::format("{}, condition {}: {}.", *row.participant, quoted_words(row.condition),
                                    listed(parts)));
    }
    return items;
}

PageSection spectra_part(const TypicalSetting& typical) {
    PageSection part{"Spectra of a typical setting"};
    std::vector<PageFigure> figures = spectra_figures(typical);
    if (figures.empty())
        add_paragraphs(part, {"Not drawn, since a calibration of the session cannot be read."});
    add_figures(part, std::move(figures));
    return part;
}

}  // namespace

PageSection match_section(const MatchSeries& series, const TypicalSetting* typical) {
    PageSection section{"Settings of " + series_words(series), series_notes(series)};
    add_list(section, "Some figures are missing:", series.notes);
    PageSection settings{"Settings"};
    add_table(settings, contrast_table(series));
    add_table(settings, axis_table(series));
    add_list(settings, "What the means rest on:", unit_items(series));
    add_list(settings,
             "Far from the others of their condition, and counted like all others:", far_items(series));
    add_list(settings, "The edge of the gamut was met:", gamut_items(series));
    add_part(section, std::move(settings));
    PageSection scatter{"Scatter"};
    add_table(scatter, scatter_table(series));
    add_figures(scatter, scatter_figures(series));
    add_table(scatter, diagram_table(series));
    add_part(section, std::move(scatter));
    PageSection spread{"Between participants and within them"};
    add_table(spread, components_table(series));
    add_part(section, std::move(spread));
    PageSection drift{"Drift and starting points"};
    add_table(drift, trend_table(series));
    add_table(drift, serial_table(series));
    add_figures(drift, drift_figures(series));
    add_part(section, std::move(drift));
    if (typical != nullptr)
        add_part(section, spectra_part(*typical));
    return section;
}

}  // namespace isoseam
