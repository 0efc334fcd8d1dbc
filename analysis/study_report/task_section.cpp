#include "analysis/study_report/task_section.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "analysis/study_report/figure_parts.h"
#include "analysis/study_report/section_parts.h"
#include "analysis/study_report/task_figures.h"
#include "analysis/study_report/word_lists.h"
#include "analysis/summaries/text_layout.h"
#include "analysis/summaries/value_words.h"

namespace isoseam {
namespace {

std::string rate_words(double rate, bool given) {
    return fixed(rate, 3) + (given ? "" : " (fitted)");
}

PageTable threshold_table(const ThresholdSeries& series) {
    PageTable table{"Thresholds and slopes of highest likelihood, with 95 % intervals (profile likelihood).",
                    {"participant", "condition", "unit", "trials", "threshold", "95 %", "slope", "95 %",
                     "guess", "lapse"}};
    for (const TaskSummary& task : series.tasks) {
        if (!task.fit || !task.fit->curve)
            continue;
        const SpaceUnit unit = unit_on_page(task.space);
        const PsychometricFit& fit = *task.fit;
        const SpaceUnit slope = unit_of_slope(fit.model.form, unit, 3);
        table.rows.push_back({task.participant, task.condition, unit.name, std::to_string(task.trials),
                              unit.words(fit.curve->threshold), unit.words(fit.threshold_95),
                              slope.words(fit.curve->slope), slope.words(fit.slope_95),
                              rate_words(fit.curve->guess, fit.model.guess.has_value()),
                              rate_words(fit.curve->lapse, fit.model.lapse.has_value())});
    }
    return table;
}

PageTable answers_table(const ThresholdSeries& series) {
    PageTable table{"Answers. Only trials with a target count towards a threshold.",
                    {"participant", "condition", "question", "runs", "with a target", "successes", "practice",
                     "without a target", "false alarms", "late frames"}};
    for (const TaskSummary& task : series.tasks) {
        int successes = 0;
        for (const LevelCount& count : task.levels)
            successes += count.successes;
        table.rows.push_back({task.participant, task.condition, form_words(task.form, task.places),
                              std::to_string(task.runs), std::to_string(task.trials),
                              task.levels.empty() ? "\u2013" : std::to_string(successes),
                              std::to_string(task.practice_trials), std::to_string(task.no_target_trials),
                              task.has_false_alarms() ? std::to_string(task.false_alarms) : "\u2013",
                              std::to_string(task.late_trials)});
    }
    return table;
}

PageTable rating_table(const TaskSummary& task) {
    const SpaceUnit unit = unit_on_page(task.space);
    PageTable table{fmt::format("Ratings of {} in condition {}: how often each category was answered.",
                                task.participant, quoted_words(task.condition)),
                    {"level, " + unit.name}};
    for (std::size_t category = 1; category <= task.ratings.front().counts.size(); ++category)
        table.header.push_back(std::to_string(category));
    for (const RatingTally& rating : task.ratings) {
        std::vector<std::string> cells{rating.level ? unit.words(*rating.level) : "no target"};
        for (const int count : rating.counts)
            cells.push_back(std::to_string(count));
        table.rows.push_back(cells);
    }
    return table;
}

// What numbers do not say, once for each participant and condition.
std::vector<std::string> remarks(const ThresholdSeries& series) {
    std::vector<std::string> items;
    for (const TaskSummary& task : series.tasks) {
        std::vector<std::string> words;
        if (!task.not_fitted.empty())
            words.push_back("not fitted: " + task.not_fitted);
        if (task.fit) {
            for (const std::string& reason : task.fit->not_identified)
                words.push_back("not identified: " + reason);
            if (!task.fit->curve && (task.fit->threshold_95.low || task.fit->threshold_95.high)) {
                const SpaceUnit unit = unit_on_page(task.space);
                words.push_back(fmt::format("95 % interval of the threshold: {} {}",
                                            unit.words(task.fit->threshold_95), unit.name));
            }
            words.insert(words.end(), task.fit->notes.begin(), task.fit->notes.end());
        }
        words.insert(words.end(), task.notes.begin(), task.notes.end());
        for (const std::string& one : words)
            items.push_back(
                fmt::format("{}, condition {}: {}.", task.participant, quoted_words(task.condition), one));
    }
    return items;
}

std::string threshold_words(const ThresholdOptions& options) {
    return fmt::format(
        "The {} function is success = guess + (1 \u2212 guess \u2212 lapse) F(level); at the threshold F is "
        "{}. {}",
        psychometric_form_words(options.form), options.form == PsychometricForm::weibull ? "63.2 %" : "50 %",
        "A threshold holds for this stimulus, this screen and this task.");
}

}  // namespace

std::string psychometric_form_words(PsychometricForm form) {
    return form == PsychometricForm::cumulative_normal ? "cumulative normal" : to_string(form);
}

PageSection threshold_section(const ThresholdSeries& series, const ThresholdOptions& options) {
    PageSection section{"Answers of " + series_words(series), series_notes(series)};
    PageTable thresholds = threshold_table(series);
    if (!thresholds.rows.empty())
        section.blocks.emplace_back(PageParagraph{threshold_words(options)});
    add_table(section, std::move(thresholds));
    add_figures(section, psychometric_figures(series));
    add_table(section, answers_table(series));
    for (const TaskSummary& task : series.tasks) {
        if (!task.ratings.empty())
            add_table(section, rating_table(task));
    }
    add_list(section, "What the numbers alone do not say:", remarks(series));
    return section;
}

namespace {

PageTable weight_table(const FlickerSeries& series) {
    PageTable table{
        "Weight of L and M in luminance: share of L (energy-based cone fundamentals of peak 1) with "
        "its 95 % interval, the ratio L : M of the weights, the nominal observer\u2019s share and "
        "ratio, and the SD of settings in per cent of the light.",
        {"participant", "no.", "n", "share of L", "95 %", "L : M", "nominal share", "nominal L : M", "SD, %",
         "agreement p"}};
    for (const ParticipantFlicker& one : series.weights) {
        if (!one.fit)
            continue;
        table.rows.push_back({one.participant, std::to_string(table.rows.size() + 1),
                              std::to_string(one.fit->settings), fixed(one.fit->share, 3),
                              SpaceUnit{1.0, 3, ""}.words(one.fit->share_95),
                              ratio_words(ratio_of_share(one.fit->share)), fixed(one.standard.share, 3),
                              fixed(one.standard.ratio, 2), fixed(kPercent * one.fit->noise, 2),
                              one.fit->agreement_p ? p_words(*one.fit->agreement_p) : "n.d."});
    }
    return table;
}

PageTable flicker_condition_table(const FlickerSeries& series) {
    PageTable table{
        "Conditions of the same: L : M of both lights, mean setting less the nominal observer\u2019s "
        "prediction, and mean residual by the weight found, both in per cent of the light.",
        {"participant", "condition", "n", "reference L : M", "adjusted L : M", "setting, %", "residual, %"}};
    for (const ParticipantFlicker& one : series.weights) {
        for (const FlickerCondition& condition : one.conditions) {
            if (!condition.left_out_because.empty())
                continue;
            table.rows.push_back({one.participant, condition.condition, std::to_string(condition.settings),
                                  fixed(condition.lm_reference, 3), fixed(condition.lm_adjusted, 3),
                                  fixed(kPercent * condition.setting, 2),
                                  condition.fit ? fixed(kPercent * condition.fit->residual, 2) : "n.d."});
        }
    }
    return table;
}

std::vector<std::string> flicker_remarks(const FlickerSeries& series) {
    std::vector<std::string> items;
    for (const ParticipantFlicker& one : series.weights) {
        if (!one.not_fitted_because.empty())
            items.push_back(fmt::format("{}: no weight, since {}.", one.participant, one.not_fitted_because));
        for (const FlickerCondition& condition : one.conditions) {
            if (!condition.left_out_because.empty())
                items.push_back(fmt::format("{}, condition {} is left out: {}.", one.participant,
                                            quoted_words(condition.condition), condition.left_out_because));
        }
        for (const std::string& note : one.notes)
            items.push_back(fmt::format("{}: {}.", one.participant, note));
    }
    return items;
}

}  // namespace

PageSection flicker_section(const FlickerSeries& series) {
    PageSection section{"Weights of luminance of " + series_words(series), series_notes(series)};
    section.blocks.emplace_back(
        PageParagraph{"At least flicker w L + (1 \u2212 w) M is taken to be the same in both lights; w is "
                      "the share of L. It rests on the nominal observer\u2019s cone fundamentals: an eye "
                      "with another lens, macular pigment or other pigments has its own. It is no "
                      "diagnosis."});
    add_table(section, weight_table(series));
    add_figures(section, weight_figures(series));
    add_table(section, flicker_condition_table(series));
    add_list(section, "What the numbers alone do not say:", flicker_remarks(series));
    return section;
}

}  // namespace isoseam
