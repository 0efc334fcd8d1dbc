#include "analysis/study_report/task_figures.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "analysis/study_report/figure_parts.h"
#include "analysis/study_report/word_lists.h"
#include "analysis/summaries/value_words.h"

namespace isoseam {
namespace {

constexpr double kCurveRowMm = 52.0;
const Stroke kFitted{Ink::black, Dash::solid, 0.4};
const Stroke kThreshold{Ink::grey, Dash::dashed, 0.3};

// Levels that span this factor stand on a logarithmic axis.
constexpr double kWideSpan = 8.0;

Axis level_axis(const TaskSummary& task, const SpaceUnit& unit) {
    std::vector<double> levels;
    for (const LevelCount& count : task.levels)
        levels.push_back(unit.factor * count.level);
    const std::string label = fmt::format("{}, {}", listed(task.axes), unit.name);
    const auto [least, most] = std::minmax_element(levels.begin(), levels.end());
    if (!(*least > 0.0 && *most > kWideSpan * *least))
        return axis_around(label, levels, 0.08, 3.0);
    constexpr double kRoom = 1.3;
    Axis axis{.label = label, .from = *least / kRoom, .to = *most * kRoom, .logarithmic = true};
    for (double power = std::pow(10.0, std::floor(std::log10(*axis.from))); power < *axis.to; power *= 10.0) {
        for (const double mantissa : {1.0, 2.0, 5.0}) {
            if (mantissa * power >= *axis.from && mantissa * power <= *axis.to)
                axis.ticks.push_back({mantissa * power, fmt::format("{:.3g}", mantissa * power)});
        }
    }
    return axis;
}

Series fitted_curve(const PsychometricFit& fit, const Axis& axis, double factor) {
    constexpr int kSteps = 100;
    Series curve{.kind = Series::Kind::line, .name = "fitted", .stroke = kFitted};
    for (int i = 0; i <= kSteps; ++i) {
        const double part = static_cast<double>(i) / kSteps;
        const double level = axis.logarithmic ? *axis.from * std::pow(*axis.to / *axis.from, part)
                                              : *axis.from + part * (*axis.to - *axis.from);
        if (fit.model.form == PsychometricForm::weibull && level < 0.0)
            continue;  // it has no level below 0
        add_point(curve, level, kPercent * success_probability(*fit.curve, level / factor));
    }
    return curve;
}

Panel curve_panel(const TaskSummary& task) {
    const SpaceUnit unit = unit_on_page(task.space);
    Panel panel{.title = panel_title(fmt::format("{}, {}", task.participant, task.condition)),
                .x = level_axis(task, unit),
                .y = {.label = "successes, %", .from = -4.0, .to = 104.0, .tick_step = 25.0}};
    Series shares{.kind = Series::Kind::points,
                  .name = "shares of successes",
                  .stroke = {Ink::black, Dash::solid, 0.25},
                  .marker = Marker::open_circle};
    for (const LevelCount& count : task.levels) {
        add_point(shares, unit.factor * count.level, kPercent * count.successes / count.trials);
    }
    if (task.fit && task.fit->curve) {
        const double threshold = unit.factor * task.fit->curve->threshold;
        panel.series.push_back(fitted_curve(*task.fit, panel.x, unit.factor));
        panel.series.push_back({.kind = Series::Kind::line,
                                .name = "threshold",
                                .x = {threshold, threshold},
                                .y = {*panel.y.from, *panel.y.to},
                                .stroke = kThreshold});
    }
    panel.series.push_back(shares);
    return panel;
}

}  // namespace

std::vector<PageFigure> psychometric_figures(const ThresholdSeries& series) {
    std::vector<Panel> panels;
    for (const TaskSummary& task : series.tasks) {
        if (!task.levels.empty())
            panels.push_back(curve_panel(task));
    }
    return figures_of(panels, "panels", kCurveRowMm, [](const std::string& part, const std::string& names) {
        return PageFigure{
            fmt::format("Psychometric functions{}: shares of successes at each level, and the function under "
                        "which the answers are most likely.",
                        part),
            {.title = "shares of successes and fitted curves" + part,
             .description =
                 fmt::format("Shares of successes against the level, with the fitted curve and its threshold "
                             "where there is a fit; one panel each for {}. The numbers stand in the tables.",
                             names),
             .legend = {{"circle: share of successes at a level", {}, {}},
                        {"fitted psychometric function", kFitted, {}},
                        {"threshold", kThreshold, {}}}}};
    });
}

std::vector<PageFigure> weight_figures(const FlickerSeries& series) {
    constexpr std::size_t kMostInPanel = 20;
    std::vector<const ParticipantFlicker*> fitted;
    for (const ParticipantFlicker& one : series.weights) {
        if (one.fit)
            fitted.push_back(&one);
    }
    std::vector<PageFigure> figures;
    std::size_t number = 0;
    for (const std::vector<const ParticipantFlicker*>& part : parts_of(fitted, kMostInPanel)) {
        Panel panel{.x = {.label = "participant, in the order of the table",
                          .from = 0.4,
                          .to = static_cast<double>(part.size()) + 0.6},
                    .y = {.label = "share of L in luminance", .from = 0.0, .to = 1.0, .tick_step = 0.2}};
        Series weights{.kind = Series::Kind::error_bars,
                       .name = "share of L, with its 95 % interval",
                       .stroke = {Ink::black, Dash::solid, 0.35},
                       .marker = Marker::filled_circle};
        Series standard{.kind = Series::Kind::points,
                        .name = "the nominal observer's",
                        .stroke = {Ink::black, Dash::solid, 0.35},
                        .marker = Marker::cross};
        for (const ParticipantFlicker* one : part) {
            const double at = static_cast<double>(weights.x.size()) + 1.0;
            // Codes may be long, and many: numbers stand for them where they would overlap.
            panel.x.ticks.push_back({at, std::to_string(++number)});
            add_point(weights, at, one->fit->share);
            weights.low.push_back(one->fit->share_95.low);
            weights.high.push_back(one->fit->share_95.high);
            add_point(standard, at, one->standard.share);
        }
        panel.series = {weights, standard};
        Figure figure{.title = "weight of L in luminance",
                      .description =
                          "For each participant the share of L in luminance with its 95 % interval, "
                          "and the nominal observer's share. The numbers stand in the table.",
                      .legend = {{"filled circle and bar: share of L, and its 95 % interval", {}, {}},
                                 {"cross: share of L in the nominal observer's luminance", {}, {}}},
                      .rows = {{1.0, {panel}}},
                      .width_mm = kFigureWidthMm,
                      .height_mm = 75.0};
        figures.push_back(
            {"The share of L in luminance of each participant, with its 95 % interval.", figure});
    }
    return figures;
}

}  // namespace isoseam
