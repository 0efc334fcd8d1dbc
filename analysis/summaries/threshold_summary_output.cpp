// The summary of thresholds as text and as JSON.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "analysis/summaries/space_unit.h"
#include "analysis/summaries/text_layout.h"
#include "analysis/summaries/threshold_summary.h"
#include "analysis/summaries/value_words.h"

namespace isoseam {
namespace {

constexpr std::size_t kHashDigits = 8;  // enough to tell protocols apart by eye; JSON has all

// Levels are shown finer than settings. A slope is per unit of level, but a weibull's has no unit.
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
    if (task.no_target_trials > 0 && (task.form == "yes_no" || task.form == "same_different"))
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
        text +=
            fmt::format("{:>14}{:>8}{:>11}{:>9}", fixed(count.level * unit.factor, unit.decimals),
                        count.trials, count.successes, fixed(kPercent * count.successes / count.trials, 1));
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
        text += fmt::format("{:>14}",
                            rating.level ? fixed(*rating.level * unit.factor, unit.decimals) : "no target");
        for (const int count : rating.counts)
            text += fmt::format("{:>8}", count);
        text += "\n";
    }
    return text;
}

std::string estimate_row(const char* name, double value, const std::optional<double>& error,
                         const FitInterval& interval, const FitInterval* samples, double factor,
                         int decimals) {
    std::string text =
        fmt::format("{:>14}{:>12}   SE {}   95 % {}", name, fixed(value * factor, decimals),
                    value_words(error, factor, decimals), interval_words(interval, factor, decimals));
    if (samples != nullptr)
        text += fmt::format("   bootstrap {}", interval_words(*samples, factor, decimals));
    return text + "\n";
}

std::string posterior_row(const char* name, const PosteriorValue& value, double factor, int decimals) {
    return fmt::format("{:>14}{:>12}   SD {}   95 % {} to {}   posterior, flat priors\n", name,
                       fixed(value.mean * factor, decimals), fixed(value.sd * factor, decimals),
                       fixed(value.low * factor, decimals), fixed(value.high * factor, decimals));
}

nlohmann::json posterior_json(const std::optional<PosteriorValue>& value) {
    if (!value)
        return nullptr;
    return {{"mean", value->mean},
            {"sd", value->sd},
            {"interval_95", {{"low", value->low}, {"high", value->high}}}};
}

std::string fit_text(const TaskSummary& task, const SpaceUnit& unit) {
    const PsychometricFit& fit = *task.fit;
    std::string text;
    for (const std::string& reason : fit.not_identified)
        text += wrapped("Not identified: " + reason + ".");
    if (!fit.curve) {
        if (fit.threshold_95.low || fit.threshold_95.high)
            text += fmt::format("Threshold, 95 %: {} {}\n",
                                interval_words(fit.threshold_95, unit.factor, unit.decimals), unit.name);
        return text;
    }
    const bool weibull = fit.model.form == PsychometricForm::weibull;
    const FitBootstrap* samples = task.bootstrap ? &*task.bootstrap : nullptr;
    text += estimate_row("threshold", fit.curve->threshold, fit.standard_error.threshold, fit.threshold_95,
                         samples ? &samples->threshold_95 : nullptr, unit.factor, unit.decimals);
    text += estimate_row("slope", fit.curve->slope, fit.standard_error.slope, fit.slope_95,
                         samples ? &samples->slope_95 : nullptr, weibull ? 1.0 : 1.0 / unit.factor, 4);
    text += fmt::format("{}, {}\nlog-likelihood {}, deviance {}, {} levels\n",
                        rate_text("guess", fit.model.guess, fit.curve->guess),
                        rate_text("lapse", fit.model.lapse, fit.curve->lapse), fixed(fit.log_likelihood, 4),
                        fixed(fit.deviance, 4), task.levels.size());
    if (task.posterior) {
        text += posterior_row("threshold", task.posterior->threshold, unit.factor, unit.decimals);
        text += posterior_row("slope", task.posterior->slope, weibull ? 1.0 : 1.0 / unit.factor, 3);
        if (task.posterior->at_a_border)
            text += wrapped(
                "The posterior ends where its priors do: it rests on them as much as on the answers.");
    }
    if (samples != nullptr)
        text += fmt::format("bootstrap: {} samples, {} at a border of the search; goodness of fit p {}\n",
                            samples->samples, samples->at_a_bound, fixed(samples->goodness_p, 4));
    for (const std::string& note : fit.notes)
        text += wrapped("Note: " + note + ".");
    return text;
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
    for (const std::string& note : task.notes)
        text += wrapped("Note: " + note + ".");
    return text;
}

std::string rate_option(const std::optional<double>& rate) {
    return rate ? fmt::format("{:g}", *rate) : "free";
}

std::string series_text(const ThresholdSeries& series, const ThresholdOptions& options) {
    std::string text = wrapped(fmt::format("Thresholds by protocol {} ({})", series.protocol_file,
                                           series.protocol_sha256.substr(0, kHashDigits)));
    if (series.kind == "rehearsal")
        text += "REHEARSAL: answers of simulated observers, not of people\n";
    if (series.demo_calibration)
        text += "DEMO CALIBRATION: invented or estimated data about the screens, not for science\n";
    for (const std::string& caution : series.cautions)
        text += wrapped("Caution: " + caution);
    text += wrapped(
        fmt::format("Fitted by maximum likelihood: {}, lapse rate {}, guess rate {} (of forced choice: 1 / "
                    "places).",
                    to_string(options.form), rate_option(options.lapse), rate_option(options.guess)));
    for (const TaskSummary& task : series.tasks)
        text += task_text(task);
    return text + "\n";
}

nlohmann::json optional_json(const std::optional<double>& value) {
    return value ? nlohmann::json(*value) : nlohmann::json();
}

nlohmann::json interval_json(const FitInterval& interval) {
    return {{"low", optional_json(interval.low)}, {"high", optional_json(interval.high)}};
}

nlohmann::json estimate_json(const std::optional<double>& value, const std::optional<double>& error,
                             const FitInterval& interval) {
    return {{"value", optional_json(value)},
            {"standard_error", optional_json(error)},
            {"interval_95", interval_json(interval)}};
}

nlohmann::json fit_json(const PsychometricFit& fit) {
    const auto parameter = [&](double PsychometricFunction::*member) {
        return fit.curve ? std::optional((*fit.curve).*member) : std::nullopt;
    };
    const bool possible = std::isfinite(fit.log_likelihood);
    return {{"form", to_string(fit.model.form)},
            {"threshold", estimate_json(parameter(&PsychometricFunction::threshold),
                                        fit.standard_error.threshold, fit.threshold_95)},
            {"slope",
             estimate_json(parameter(&PsychometricFunction::slope), fit.standard_error.slope, fit.slope_95)},
            {"guess",
             {{"value", optional_json(parameter(&PsychometricFunction::guess))},
              {"fixed", fit.model.guess.has_value()}}},
            {"lapse",
             {{"value", optional_json(parameter(&PsychometricFunction::lapse))},
              {"fixed", fit.model.lapse.has_value()}}},
            {"log_likelihood", possible ? nlohmann::json(fit.log_likelihood) : nlohmann::json()},
            {"deviance", possible ? nlohmann::json(fit.deviance) : nlohmann::json()},
            {"not_identified", fit.not_identified},
            {"notes", fit.notes}};
}

nlohmann::json task_json(const TaskSummary& task) {
    nlohmann::json levels = nlohmann::json::array();
    for (const LevelCount& count : task.levels)
        levels.push_back({{"level", count.level}, {"trials", count.trials}, {"successes", count.successes}});
    nlohmann::json ratings = nlohmann::json::array();
    for (const RatingTally& rating : task.ratings)
        ratings.push_back({{"level", optional_json(rating.level)}, {"counts", rating.counts}});
    nlohmann::json samples;
    nlohmann::json posterior;
    if (task.posterior)
        posterior = {{"threshold", posterior_json(task.posterior->threshold)},
                     {"slope", posterior_json(task.posterior->slope)},
                     {"guess", posterior_json(task.posterior->guess)},
                     {"lapse", posterior_json(task.posterior->lapse)},
                     {"at_a_border", task.posterior->at_a_border}};
    if (task.bootstrap)
        samples = {{"samples", task.bootstrap->samples},
                   {"at_a_border", task.bootstrap->at_a_bound},
                   {"threshold_interval_95", interval_json(task.bootstrap->threshold_95)},
                   {"slope_interval_95", interval_json(task.bootstrap->slope_95)},
                   {"goodness_of_fit_p", task.bootstrap->goodness_p}};
    const bool alarms = task.form == "yes_no" || task.form == "same_different";
    return {{"participant", task.participant},
            {"condition", task.condition},
            {"question", task.form},
            {"places", task.places ? nlohmann::json(*task.places) : nlohmann::json()},
            {"space", task.space},
            {"axes", task.axes},
            {"runs", task.runs},
            {"trials", task.trials},
            {"practice_trials", task.practice_trials},
            {"trials_without_target", task.no_target_trials},
            {"false_alarms", alarms ? nlohmann::json(task.false_alarms) : nlohmann::json()},
            {"trials_with_late_frames", task.late_trials},
            {"levels", levels},
            {"ratings", ratings},
            {"not_fitted_because", task.fit ? nlohmann::json() : nlohmann::json(task.not_fitted)},
            {"fit", task.fit ? fit_json(*task.fit) : nlohmann::json()},
            {"bootstrap", samples},
            {"posterior", posterior},
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
        text += wrapped(
            "A threshold holds for this stimulus, this screen and this task. It is no diagnosis: screening "
            "and diagnosis of colour-vision deficiency belong to a qualified person with an approved "
            "instrument.");
        text += "\n";
    }
    return text + folders_text(summary.folders, "answer");
}

nlohmann::json to_json(const ThresholdSummary& summary) {
    nlohmann::json all = nlohmann::json::array();
    for (const ThresholdSeries& series : summary.series) {
        nlohmann::json tasks = nlohmann::json::array();
        for (const TaskSummary& task : series.tasks)
            tasks.push_back(task_json(task));
        all.push_back({{"kind", series.kind},
                       {"demo_calibration", series.demo_calibration},
                       {"protocol", {{"file", series.protocol_file}, {"sha256", series.protocol_sha256}}},
                       {"cautions", series.cautions},
                       {"sessions", series.sessions},
                       {"tasks", tasks}});
    }
    const ThresholdOptions& options = summary.options;
    return {{"folders", folders_json(summary.folders, "answer")},
            {"options",
             {{"form", to_string(options.form)},
              {"guess", optional_json(options.guess)},
              {"lapse", optional_json(options.lapse)},
              {"bootstrap", options.bootstrap},
              {"seed", options.seed}}},
            {"series", all}};
}

}  // namespace isoseam
