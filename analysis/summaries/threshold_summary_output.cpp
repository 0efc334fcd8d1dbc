// The summary of thresholds as text and as JSON.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>

#include "analysis/summaries/space_unit.h"
#include "analysis/summaries/summary_json.h"
#include "analysis/summaries/text_layout.h"
#include "analysis/summaries/threshold_summary.h"
#include "analysis/summaries/value_words.h"

namespace isoseam {
namespace {

// Levels are shown finer than settings.
constexpr int kLevelDecimals = 4;

std::string rate_text(const char* name, const std::optional<double>& fixed_rate, double fitted) {
    return fmt::format("{} rate {} ({})", name, fixed(fitted, 3), fixed_rate ? "fixed" : "fitted");
}

std::string counts_text(const TaskSummary& task) {
    std::string text = fmt::format("{} trials with a target, in {} run{}", task.trials, task.runs,
                                   task.runs == 1 ? "" : "s");
    if (task.late_trials > 0)
        text += fmt::format(" (late or dropped frames in {} of them)", task.late_trials);
    text += fmt::format(". Not among them: {} of practice, {} without a target", task.practice_trials,
                        task.no_target_trials);
    if (task.no_target_trials > 0 && task.has_false_alarms())
        text += fmt::format(", {} of these false alarms ({} %)", task.false_alarms,
                            fixed(kPercent * task.false_alarms / task.no_target_trials, 1));
    return wrapped(text + ".");
}

std::string level_rows(const TaskSummary& task, const SpaceUnit& unit) {
    if (task.levels.empty())
        return "";
    const bool fitted = task.fit && task.fit->curve;
    std::string text = fmt::format("{:>14}{:>8}{:>11}{:>9}{}\n", "level", "trials", "successes", "%",
                                   fitted ? fmt::format("{:>11}", "fitted %") : "");
    for (const LevelCount& count : task.levels) {
        text += fmt::format("{:>14}{:>8}{:>11}{:>9}", unit.words(count.level), count.trials, count.successes,
                            fixed(kPercent * count.successes / count.trials, 1));
        if (fitted)
            text += fmt::format("{:>11}",
                                fixed(kPercent * success_probability(*task.fit->curve, count.level), 1));
        text += "\n";
    }
    return text;
}

std::string rating_rows(const TaskSummary& task, const SpaceUnit& unit) {
    if (task.ratings.empty())
        return "";
    std::string text = fmt::format("{:>14}", "level");
    for (std::size_t category = 1; category <= task.ratings.front().counts.size(); ++category)
        text += fmt::format("{:>8}", category);
    text += "   (answers of each category)\n";
    for (const RatingTally& rating : task.ratings) {
        text += fmt::format("{:>14}", rating.level ? unit.words(*rating.level) : "no target");
        for (const int count : rating.counts)
            text += fmt::format("{:>8}", count);
        text += "\n";
    }
    return text;
}

std::string estimate_row(const char* name, double value, const std::optional<double>& error,
                         const FitInterval& interval, const FitInterval* samples, const SpaceUnit& unit) {
    return fmt::format("{:>14}{:>12}   SE {}   95 % {}{}\n", name, unit.words(value), unit.words(error),
                       unit.words(interval),
                       samples != nullptr ? "   bootstrap " + unit.words(*samples) : "");
}

std::string posterior_row(const char* name, const PosteriorValue& value, const SpaceUnit& unit) {
    return fmt::format("{:>14}{:>12}   SD {}   95 % {} to {}   posterior, flat priors\n", name,
                       unit.words(value.mean), unit.words(value.sd), unit.words(value.low),
                       unit.words(value.high));
}

std::string fit_text(const TaskSummary& task, const SpaceUnit& unit) {
    const PsychometricFit& fit = *task.fit;
    std::string text = sentences("Not identified: ", fit.not_identified);
    if (!fit.curve) {
        if (fit.threshold_95.low || fit.threshold_95.high)
            text += fmt::format("Threshold, 95 %: {} {}\n", unit.words(fit.threshold_95), unit.name);
        return text;
    }
    const FitBootstrap* samples = task.bootstrap ? &*task.bootstrap : nullptr;
    text += estimate_row("threshold", fit.curve->threshold, fit.standard_error.threshold, fit.threshold_95,
                         samples ? &samples->threshold_95 : nullptr, unit);
    text += estimate_row("slope", fit.curve->slope, fit.standard_error.slope, fit.slope_95,
                         samples ? &samples->slope_95 : nullptr, unit_of_slope(fit.model.form, unit, 4));
    text += fmt::format("{}, {}\nlog-likelihood {}, deviance {}, {} levels\n",
                        rate_text("guess", fit.model.guess, fit.curve->guess),
                        rate_text("lapse", fit.model.lapse, fit.curve->lapse), fixed(fit.log_likelihood, 4),
                        fixed(fit.deviance, 4), task.levels.size());
    if (task.posterior) {
        text += posterior_row("threshold", task.posterior->threshold, unit);
        text += posterior_row("slope", task.posterior->slope, unit_of_slope(fit.model.form, unit, 3));
        if (task.posterior->at_a_border)
            text += wrapped(
                "The posterior ends where its priors do: it rests on them as much as on the answers.");
    }
    if (samples != nullptr)
        text += fmt::format("bootstrap: {} samples, {} at a border of the search; goodness of fit p {}\n",
                            samples->samples, samples->at_a_bound, fixed(samples->goodness_p, 4));
    return text + sentences("Note: ", fit.notes);
}

std::string task_text(const TaskSummary& task) {
    const SpaceUnit unit = unit_of_space(task.space, kLevelDecimals);
    std::string text = "\n" + wrapped(fmt::format("Participant {}, {}: {}, along {}, {}", task.participant,
                                                  task.condition, form_words(task.form, task.places),
                                                  fmt::join(task.axes, " and "), unit.name));
    text += counts_text(task) + level_rows(task, unit) + rating_rows(task, unit);
    if (task.fit)
        text += fit_text(task, unit);
    else
        text += wrapped("Not fitted: " + task.not_fitted + ".");
    return text + sentences("Note: ", task.notes);
}

std::string series_text(const ThresholdSeries& series, const ThresholdOptions& options) {
    std::string text = series_heading(series, "Thresholds", "answer");
    text += wrapped(
        fmt::format("Fitted by maximum likelihood: {}, lapse rate {}, guess rate {} (of forced choice: 1 / "
                    "places).",
                    to_string(options.form), rate_option(options.lapse), rate_option(options.guess)));
    for (const TaskSummary& task : series.tasks)
        text += task_text(task);
    return text + "\n";
}

nlohmann::json interval_json(const FitInterval& interval) {
    return {{"low", or_null(interval.low)}, {"high", or_null(interval.high)}};
}

nlohmann::json estimate_json(const std::optional<double>& value, const std::optional<double>& error,
                             const FitInterval& interval) {
    return {{"value", or_null(value)},
            {"standard_error", or_null(error)},
            {"interval_95", interval_json(interval)}};
}

nlohmann::json fit_json(const PsychometricFit& fit) {
    const auto parameter = [&](double PsychometricFunction::*member) {
        return fit.curve ? std::optional((*fit.curve).*member) : std::nullopt;
    };
    return {{"form", to_string(fit.model.form)},
            {"threshold", estimate_json(parameter(&PsychometricFunction::threshold),
                                        fit.standard_error.threshold, fit.threshold_95)},
            {"slope",
             estimate_json(parameter(&PsychometricFunction::slope), fit.standard_error.slope, fit.slope_95)},
            {"guess",
             {{"value", or_null(parameter(&PsychometricFunction::guess))},
              {"fixed", fit.model.guess.has_value()}}},
            {"lapse",
             {{"value", or_null(parameter(&PsychometricFunction::lapse))},
              {"fixed", fit.model.lapse.has_value()}}},
            {"log_likelihood", finite_or_null(fit.log_likelihood)},
            {"deviance", finite_or_null(fit.deviance)},
            {"not_identified", fit.not_identified},
            {"notes", fit.notes}};
}

nlohmann::json value_json(const PosteriorValue& value) {
    return {
        {"mean", value.mean}, {"sd", value.sd}, {"interval_95", {{"low", value.low}, {"high", value.high}}}};
}

nlohmann::json posterior_json(const FitPosterior& posterior) {
    return {{"threshold", value_json(posterior.threshold)},
            {"slope", value_json(posterior.slope)},
            {"guess", or_null(posterior.guess, value_json)},
            {"lapse", or_null(posterior.lapse, value_json)},
            {"at_a_border", posterior.at_a_border}};
}

nlohmann::json bootstrap_json(const FitBootstrap& bootstrap) {
    return {{"samples", bootstrap.samples},
            {"at_a_border", bootstrap.at_a_bound},
            {"threshold_interval_95", interval_json(bootstrap.threshold_95)},
            {"slope_interval_95", interval_json(bootstrap.slope_95)},
            {"goodness_of_fit_p", bootstrap.goodness_p}};
}

nlohmann::json level_json(const LevelCount& count) {
    return {{"level", count.level}, {"trials", count.trials}, {"successes", count.successes}};
}

nlohmann::json rating_json(const RatingTally& rating) {
    return {{"level", or_null(rating.level)}, {"counts", rating.counts}};
}

nlohmann::json task_json(const TaskSummary& task) {
    return {{"participant", task.participant},
            {"condition", task.condition},
            {"question", task.form},
            {"places", or_null(task.places)},
            {"space", task.space},
            {"axes", task.axes},
            {"runs", task.runs},
            {"trials", task.trials},
            {"practice_trials", task.practice_trials},
            {"trials_without_target", task.no_target_trials},
            {"false_alarms", task.has_false_alarms() ? nlohmann::json(task.false_alarms) : nlohmann::json()},
            {"trials_with_late_frames", task.late_trials},
            {"levels", list_json(task.levels, level_json)},
            {"ratings", list_json(task.ratings, rating_json)},
            {"not_fitted_because", text_or_null(task.not_fitted)},
            {"fit", or_null(task.fit, fit_json)},
            {"bootstrap", or_null(task.bootstrap, bootstrap_json)},
            {"posterior", or_null(task.posterior, posterior_json)},
            {"notes", task.notes}};
}

}  // namespace

std::string threshold_summary_text(const ThresholdSummary& summary) {
    std::string text;
    for (const ThresholdSeries& series : summary.series)
        text += series_text(series, summary.options);
    if (!summary.series.empty()) {
        text += wrapped(
            "threshold: where the share between guess rate and lapse rate is 63.2 % (weibull) or a half (the "
            "others). SE: standard error. 95 %: profile likelihood; an open end excludes nothing on that "
            "side. n.d.: not defined.");
        text += wrapped(fmt::format(
            "A threshold holds for this stimulus, this screen and this task. It is no diagnosis: {}",
            kWhoDiagnoses));
        text += "\n";
    }
    return text + folders_text(summary.folders, "answer");
}

nlohmann::json to_json(const ThresholdSummary& summary) {
    const auto of_series = [](const ThresholdSeries& series) {
        nlohmann::json json = series_json(series, "answer");
        json["tasks"] = list_json(series.tasks, task_json);
        return json;
    };
    const ThresholdOptions& options = summary.options;
    return {{"folders", folders_json(summary.folders, "answer")},
            {"options",
             {{"form", to_string(options.form)},
              {"guess", or_null(options.guess)},
              {"lapse", or_null(options.lapse)},
              {"bootstrap", options.bootstrap},
              {"seed", options.seed}}},
            {"series", list_json(summary.series, of_series)}};
}

}  // namespace isoseam
