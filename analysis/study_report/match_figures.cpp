#include "analysis/study_report/match_figures.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "analysis/study_report/figure_parts.h"
#include "analysis/study_report/word_lists.h"
#include "analysis/summaries/value_words.h"

namespace isoseam {
namespace {

constexpr double kScatterRowMm = 46.0;

const Stroke kOfSettings{Ink::black, Dash::solid, 0.4};
const Stroke kOfMean{Ink::black, Dash::dashed, 0.4};
const Stroke kThin{Ink::black, Dash::solid, 0.25};

Series outline(const std::string& name, const Scatter& scatter, EllipseKind kind, const Stroke& stroke) {
    constexpr int kCorners = 72;
    constexpr double kPi = 3.14159265358979323846;
    const Ellipse ellipse = ellipse_of(scatter, kind);
    const double turn = ellipse.angle_deg * kPi / 180.0;
    Series line{.kind = Series::Kind::line, .name = name, .stroke = stroke};
    for (int i = 0; i <= kCorners; ++i) {
        const double at = 2.0 * kPi * i / kCorners;
        const double major = ellipse.semi_major * std::cos(at);
        const double minor = ellipse.semi_minor * std::sin(at);
        add_point(line, kThousandths * (scatter.mean[0] + major * std::cos(turn) - minor * std::sin(turn)),
                  kThousandths * (scatter.mean[1] + major * std::sin(turn) + minor * std::cos(turn)));
    }
    return line;
}

Panel scatter_panel(const ConditionSummary& row) {
    Panel panel{.title = panel_title(*row.participant)};
    Series points{.kind = Series::Kind::points,
                  .name = "settings of " + *row.participant,
                  .stroke = kThin,
                  .marker = Marker::open_circle};
    for (const MatchPoint& point : row.points) {
        if (!point.ls_from_predicted)
            continue;
        add_point(points, kThousandths * (*point.ls_from_predicted)[0],
                  kThousandths * (*point.ls_from_predicted)[1]);
    }
    panel.series = {{.kind = Series::Kind::points,
                     .name = "predicted match",
                     .x = {0.0},
                     .y = {0.0},
                     .stroke = {Ink::black, Dash::solid, 0.5},
                     .marker = Marker::cross},
                    points};
    if (row.chromaticity) {
        const std::optional<Scatter>& settings = row.chromaticity->settings;
        const std::optional<Scatter>& units = row.chromaticity->units;
        if (settings)
            panel.series.push_back(
                outline("95 % of settings", *settings, EllipseKind::of_settings, kOfSettings));
        if (units)
            panel.series.push_back(outline("95 % of the mean", *units, EllipseKind::of_mean, kOfMean));
    }
    return panel;
}

// All panels get the axes that hold what is in any of them.
void share_axes(std::vector<Panel>& panels) {
    std::vector<double> x;
    std::vector<double> y;
    for (const Panel& panel : panels) {
        for (const Series& series : panel.series) {
            x.insert(x.end(), series.x.begin(), series.x.end());
            y.insert(y.end(), series.y.begin(), series.y.end());
        }
    }
    for (Panel& panel : panels) {
        panel.x = axis_around("l \u00d7 1000", x);
        panel.y = axis_around("s \u00d7 1000", y);
    }
}

// Without its panels.
PageFigure scatter_figure(const std::string& condition, const std::string& part, const std::string& names,
                          bool has_ellipses) {
    Figure figure{.title = fmt::format("{}{}: settings from the predicted match", condition, part)};
    figure.description = fmt::format(
        "MacLeod-Boynton l and s of each setting less those of the predicted match, in thousandths, one "
        "panel each for {}. Circles: settings; cross: the predicted match{}. The numbers stand in the table "
        "of scatter.",
        names, has_ellipses ? "; ellipses: 95 % of settings (solid), 95 % of the mean (dashed)" : "");
    figure.legend = {{"circle: a setting; cross: the predicted match", {}, {}}};
    if (has_ellipses) {
        figure.legend.push_back({"95 % of settings", kOfSettings, {}});
        figure.legend.push_back({"95 % of the mean", kOfMean, {}});
    }
    return {fmt::format("Settings in condition {}{}, MacLeod-Boynton l, s (nominal observer) less those of "
                        "the predicted match.",
                        quoted_words(condition), part),
            figure};
}

}  // namespace

std::vector<PageFigure> scatter_figures(const MatchSeries& series) {
    std::map<std::string, std::vector<const ConditionSummary*>> by_condition;
    for (const ConditionSummary& row : series.conditions) {
        if (row.participant && std::any_of(row.points.begin(), row.points.end(), [](const MatchPoint& point) {
                return point.ls_from_predicted.has_value();
            }))
            by_condition[row.condition].push_back(&row);
    }
    std::vector<PageFigure> figures;
    for (const auto& [condition, rows] : by_condition) {
        std::vector<Panel> panels;
        for (const ConditionSummary* row : rows)
            panels.push_back(scatter_panel(*row));
        share_axes(panels);
        const bool has_ellipses = std::any_of(rows.begin(), rows.end(), [](const ConditionSummary* row) {
            return row->chromaticity.has_value();
        });
        const auto described = [&, &name = condition](const std::string& part, const std::string& names) {
            return scatter_figure(name, part, names, has_ellipses);
        };
        for (PageFigure& figure : figures_of(panels, "participants", kScatterRowMm, described))
            figures.push_back(std::move(figure));
    }
    return figures;
}

namespace {

// What differs within one condition of one session, along one axis.
struct Wandering {
    std::vector<double> trial;
    std::vector<double> setting;  // less the mean of its session and condition, in the space's unit
    double mean_trial = 0.0;
};

Wandering wandering(const MatchSeries& series, const std::string& space, const std::string& axis,
                    double factor) {
    std::map<std::pair<std::string, std::string>, std::vector<std::pair<double, double>>> groups;
    for (const ConditionSummary& row : series.conditions) {
        const auto at = std::find(row.axes.begin(), row.axes.end(), axis);
        if (!row.participant || row.space != space || at == row.axes.end())
            continue;
        for (const MatchPoint& point : row.points)
            groups[{point.session, row.condition}].emplace_back(
                point.trial, factor * point.setting[static_cast<std::size_t>(at - row.axes.begin())]);
    }
    Wandering all;
    for (const auto& [key, points] : groups) {
        if (points.size() < 2)
            continue;
        double mean = 0.0;
        for (const auto& [trial, setting] : points)
            mean += setting / static_cast<double>(points.size());
        for (const auto& [trial, setting] : points) {
            all.trial.push_back(trial);
            all.setting.push_back(setting - mean);
        }
    }
    for (const double trial : all.trial)
        all.mean_trial += trial / static_cast<double>(all.trial.size());
    return all;
}

Panel drift_panel(const AxisTrend& trend, const Wandering& points, const SpaceUnit& unit) {
    Panel panel{.x = {.label = "trial of the session"},
                .y = axis_around(fmt::format("{}, {}", trend.axis, unit.name), points.setting)};
    const auto [first, last] = std::minmax_element(points.trial.begin(), points.trial.end());
    panel.x.from = *first - 0.5;
    panel.x.to = *last + 0.5;
    panel.y.zero_line = true;
    panel.series.push_back({.kind = Series::Kind::points,
                            .name = "settings along " + trend.axis,
                            .x = points.trial,
                            .y = points.setting,
                            .stroke = kThin,
                            .marker = Marker::open_circle});
    if (trend.drift) {
        Series line{.kind = Series::Kind::line,
                    .name = "common trend",
                    .x = {*first, *last},
                    .stroke = {Ink::black, Dash::dashed, 0.5}};
        for (const double trial : line.x)
            line.y.push_back(unit.factor * trend.drift->slope * (trial - points.mean_trial));
        panel.series.push_back(line);
    }
    return panel;
}

}  // namespace

std::vector<PageFigure> drift_figures(const MatchSeries& series) {
    constexpr std::size_t kRows = 4;
    constexpr double kRowMm = 46.0;
    if (series.trends.empty())
        return {};
    const ParticipantTrends& trends = series.trends.back();  // of all together, or of the only one
    std::vector<Row> rows;
    for (const AxisTrend& trend : trends.axes) {
        const SpaceUnit unit = unit_on_page(trend.space);
        const Wandering points = wandering(series, trend.space, trend.axis, unit.factor);
        if (!points.trial.empty())
            rows.push_back({1.0, {drift_panel(trend, points, unit)}});
    }
    std::vector<PageFigure> figures;
    for (const std::vector<Row>& part : parts_of(rows, kRows)) {
        Figure figure{.title = "settings over the session",
                      .description =
                          "Each setting along an axis against its trial, less the mean of its "
                          "session and condition, one panel for each axis. Dashed: the common "
                          "trend of all. The numbers stand in the table of drift.",
                      .rows = part,
                      .width_mm = kFigureWidthMm,
                      .height_mm = kRowMm * static_cast<double>(part.size())};
        figures.push_back({fmt::format("Settings over the session, less the mean of their session and "
                                       "condition; dashed: the common trend of {}.",
                                       counted(series.participants.size(), "participant")),
                           figure});
    }
    return figures;
}

std::vector<PageFigure> spectra_figures(const TypicalSetting& typical) {
    if (!typical.adjusted_light || !typical.reference_light)
        return {};
    constexpr double kRoom = 1.1;
    constexpr double kFirstNm = 380.0;
    constexpr double kLastNm = 780.0;
    const double factor = typical.scale_known ? 1e3 : 1.0;
    Panel panel{.x = {.label = "wavelength, nm", .from = kFirstNm, .to = kLastNm, .tick_step = 50.0},
                .y = {.label = typical.scale_known ? "mW/(sr m\u00b2 nm)" : "counts", .from = 0.0, .to = 0.0},
                .key = Key::top_right};
    const auto add = [&](const std::string& name, const Spectrum& light, Dash dash) {
        Series curve{.kind = Series::Kind::line, .name = name, .stroke = {Ink::black, dash, 0.5}};
        for (std::size_t i = 0; i < light.values().size(); ++i) {
            const double nm = light.wavelengths_nm()[i];
            if (nm < kFirstNm || nm > kLastNm)
                continue;
            add_point(curve, nm, factor * light.values()[i]);
            panel.y.to = std::max(*panel.y.to, kRoom * curve.y.back());
        }
        panel.series.push_back(curve);
    };
    const auto name_of = [](const char* role, const HalfRecord& half) {
        return fmt::format("{} ({}), source {}", role, half.half, half.source);
    };
    add(name_of("reference", typical.reference), *typical.reference_light, Dash::solid);
    add(name_of("adjusted", typical.adjusted), *typical.adjusted_light, Dash::dashed);
    if (!(*panel.y.to > 0.0))
        panel.y.to = 1.0;
    Figure figure{.title = fmt::format("{}: spectra of both halves of one setting", typical.condition),
                  .description =
                      "Spectral radiance of the reference (solid) and of the adjusted light "
                      "(dashed), from drive values and calibrations.",
                  .rows = {{1.0, {panel}}},
                  .width_mm = kFigureWidthMm,
                  .height_mm = 75.0};
    return {{fmt::format("Spectra of both halves of a typical setting: condition {}, participant {}, session "
                         "{}, trial {}. Of {} in this condition it lies nearest to this participant's mean.",
                         quoted_words(typical.condition), typical.participant, typical.session, typical.trial,
                         counted(typical.of_settings, "setting")),
             figure}};
}

}  // namespace isoseam
