#include "analysis/summaries/threshold_summary.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <tuple>

#include "analysis/summaries/shown_lights.h"
#include "base/errors.h"

namespace isoseam {
namespace {

using Answers = std::vector<const AnswerRecord*>;

bool is_success(const AnswerRecord& answer) {
    if (answer.form == "place")
        return answer.right.value_or(false);
    return answer.answer == (answer.form == "yes_no" ? "yes" : "different");
}

// Gives the probability of this many false alarms or more if each happens with the guess rate.
double chance_of_as_many(int false_alarms, int trials, double guess) {
    double below = 0.0;
    double term = std::pow(1.0 - guess, trials);  // of no false alarm
    for (int k = 0; k < false_alarms; ++k) {
        below += term;
        term *= guess / (1.0 - guess) * (trials - k) / (k + 1.0);
    }
    return 1.0 - below;
}

void note_false_alarms(TaskSummary& task, const std::optional<double>& guess) {
    constexpr double kUnlikely = 0.05;
    if (!guess || task.no_target_trials == 0 ||
        chance_of_as_many(task.false_alarms, task.no_target_trials, *guess) >= kUnlikely)
        return;
    task.notes.push_back(fmt::format(
        "false alarms in {} of {} trials without a target do not go with a guess rate of {:g}: fit with "
        "--guess free, or with --guess and a number",
        task.false_alarms, task.no_target_trials, *guess));
}

void count_ratings(TaskSummary& task, const Answers& answers) {
    std::map<double, std::vector<int>> by_level;
    std::vector<int> without;
    std::size_t categories = 0;
    const auto count = [&](std::vector<int>& counts, int category) {
        ISOSEAM_CHECK_GE(category, 1);
        categories = std::max(categories, static_cast<std::size_t>(category));
        counts.resize(std::max(counts.size(), static_cast<std::size_t>(category)));
        ++counts[static_cast<std::size_t>(category) - 1];
    };
    for (const AnswerRecord* answer : answers)
        count(answer->target ? by_level[answer->level.front()] : without, answer->answer_value);
    for (auto& [level, counts] : by_level)
        task.ratings.push_back({level, counts});
    if (!without.empty())
        task.ratings.push_back({std::nullopt, without});
    for (RatingTally& rating : task.ratings)
        rating.counts.resize(categories);
}

void fit(TaskSummary& task, const ThresholdOptions& options) {
    const bool place = task.form == "place";
    const FitModel model{options.form, place ? 1.0 / *task.places : options.guess, options.lapse};
    if (!place)
        note_false_alarms(task, options.guess);
    if (const std::vector<Fault> found = faults(model, task.levels); !found.empty()) {
        task.not_fitted = fmt::format("{}; {}", found.front().found, found.front().remedy);
        return;
    }
    task.fit = fit_psychometric(model, task.levels);
    if (options.posterior && task.fit->curve)
        task.posterior = posterior(task.fit->model, task.levels);
    if (options.bootstrap > 0 && task.fit->curve)
        task.bootstrap = bootstrap(*task.fit, task.levels, options.bootstrap, options.seed);
}

TaskSummary summarise(const std::string& participant, const Answers& all, int runs,
                      const ThresholdOptions& options) {
    const AnswerRecord& first = *all.front();
    TaskSummary task;
    task.participant = participant;
    task.condition = first.condition;
    task.form = first.form;
    task.space = first.space;
    task.axes = first.axes;
    task.runs = runs;
    if (task.form == "place")
        task.places = first.places;
    Answers measured;
    for (const AnswerRecord* answer : all) {
        if (answer->practice)
            ++task.practice_trials;
        else
            measured.push_back(answer);
    }
    std::vector<LevelCount> counts;
    const bool countable = task.form != "rating" && first.level.size() == 1;
    for (const AnswerRecord* answer : measured) {
        if (!answer->target) {
            ++task.no_target_trials;
            task.false_alarms += task.has_false_alarms() && is_success(*answer) ? 1 : 0;
            continue;
        }
        ++task.trials;
        task.late_trials += had_late_frames(answer->frames) ? 1 : 0;
        if (countable)
            counts.push_back({answer->level.front(), 1, is_success(*answer) ? 1 : 0});
    }
    task.levels = tallied(counts);
    if (first.level.size() != 1) {
        task.not_fitted = fmt::format("levels of {} dimensions are not fitted here", first.level.size());
    } else if (task.form == "rating") {
        count_ratings(task, measured);
        task.not_fitted = "ratings are counted, not fitted";
    } else if (task.trials == 0) {
        task.not_fitted = "there is no measured trial with a target";
    } else {
        fit(task, options);
    }
    return task;
}

// Answers that are never pooled, though one protocol should not give several of a condition.
auto task_key(const AnswerRecord& answer) {
    return std::tuple(answer.condition, answer.form, answer.space, answer.axes, answer.places);
}

ThresholdSeries summarise(const std::vector<const SessionFolder*>& folders, const ThresholdOptions& options) {
    ThresholdSeries series;
    SeriesGatherer gatherer;
    struct Group {
        Answers answers;
        std::set<std::pair<std::string, int>> runs;
    };
    std::map<std::pair<std::string, decltype(task_key({}))>, Group> groups;
    for (const SessionFolder* folder : folders) {
        const SessionHeader& header = folder->header;
        gatherer.add(header);
        for (const AnswerRecord& answer : folder->answers) {
            Group& group = groups[{header.participant, task_key(answer)}];
            group.answers.push_back(&answer);
            group.runs.insert({header.session, answer.run});
        }
    }
    static_cast<SeriesFacts&>(series) = gatherer.facts();
    series.calibrations_differ = false;
    for (const auto& [key, group] : groups)
        series.tasks.push_back(
            summarise(key.first, group.answers, static_cast<int>(group.runs.size()), options));
    return series;
}

}  // namespace

std::vector<Fault> faults(const ThresholdOptions& options) {
    const LevelCount any{1.0, 1, 1};
    std::vector<Fault> found = faults(FitModel{options.form, options.guess, options.lapse}, {&any, 1});
    if (options.bootstrap < 0)
        found.push_back(
            {"", 0, 0, "bootstrap", fmt::format("{} samples", options.bootstrap), "give 0 or more"});
    return found;
}

ThresholdSummary summarise_thresholds(const std::vector<SessionFolder>& folders,
                                      const ThresholdOptions& options) {
    if (auto found = faults(options); !found.empty())
        throw InputError(std::move(found));
    ThresholdSummary summary;
    summary.options = options;
    FoldersSeen seen;
    std::map<SeriesKey, std::vector<const SessionFolder*>> gathered;
    for (const SessionFolder& folder : folders) {
        summary.folders.push_back(
            use_of(folder, folder.answers.size(), "it holds no answer to a task", seen));
        if (summary.folders.back().left_out_because.empty())
            gathered[series_key(folder.header)].push_back(&folder);
    }
    for (const auto& [key, group] : gathered)
        summary.series.push_back(summarise(group, options));
    return summary;
}

std::string rate_option(const std::optional<double>& rate) {
    return rate ? fmt::format("{:g}", *rate) : "free";
}

std::string form_words(const std::string& form, const std::optional<int>& places) {
    if (form == "setting")
        return "setting";
    if (form == "place")
        return fmt::format("forced choice of {} places", places.value_or(0));
    if (form == "yes_no")
        return "yes or no";
    return form == "same_different" ? "same or different" : "rating";
}

}  // namespace isoseam
