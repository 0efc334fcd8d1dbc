#include "runner/rehearsal/rehearsal_summary.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>
#include <numeric>

#include "base/errors.h"

namespace isoseam {
namespace {

double mean_of(const std::vector<double>& values) {
    return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

// The standard deviation with n - 1 in the denominator, of at least two values.
double sd_of(const std::vector<double>& values) {
    const double mean = mean_of(values);
    double squares = 0.0;
    for (const double value : values)
        squares += (value - mean) * (value - mean);
    return std::sqrt(squares / static_cast<double>(values.size() - 1));
}

Measured mean_with_error(const std::vector<double>& values) {
    Measured mean{mean_of(values), {}};
    if (values.size() > 1)
        mean.standard_error = sd_of(values) / std::sqrt(static_cast<double>(values.size()));
    return mean;
}

// The usual standard error of an SD of normal deviates, SD / sqrt(2 f) (common practice, no source).
Measured sd_with_error(double sd, double degrees_of_freedom) {
    return {sd, sd / std::sqrt(2.0 * degrees_of_freedom)};
}

// Returns the value of `rising` below which this share lies: the nearest value that occurs.
double share_below(const std::vector<double>& rising, double share) {
    const double at = share * static_cast<double>(rising.size() - 1);
    return rising[static_cast<std::size_t>(std::lround(at))];
}

void add_durations(RehearsalSummary& summary, std::span<const SessionTally::Sums> sessions) {
    std::vector<double> durations;
    for (const SessionTally::Sums& session : sessions)
        durations.push_back(session.duration_s);
    std::sort(durations.begin(), durations.end());
    constexpr double kTail = 0.05;
    summary.mean_duration_s = mean_of(durations);
    summary.shortest_duration_s = share_below(durations, kTail);
    summary.longest_duration_s = share_below(durations, 1.0 - kTail);
}

// Summarises the settings of one condition, with one entry for each observer who made any.
RehearsalSummary::Condition settings_of(const Condition& condition,
                                        const std::vector<SessionTally::Settings>& all) {
    RehearsalSummary::Condition of;
    of.name = condition.name;
    Eigen::Vector3d squares = Eigen::Vector3d::Zero();
    int degrees_of_freedom = 0;
    std::array<std::vector<double>, 3> means;
    for (const SessionTally::Settings& settings : all) {
        of.timed_out += settings.timed_out;
        of.moved_starts += settings.moved_starts;
        of.refused_steps += settings.refused_steps;
        if (settings.count == 0)
            continue;
        of.settings += settings.count;
        squares += settings.squares;
        degrees_of_freedom += settings.count - 1;
        for (std::size_t cone = 0; cone < 3; ++cone)
            means[cone].push_back(settings.mean[static_cast<Eigen::Index>(cone)]);
    }
    if (of.settings == 0)
        return of;
    if (degrees_of_freedom > 0) {
        of.sd.emplace();
        of.precision.emplace();
    }
    for (std::size_t cone = 0; cone < 3; ++cone) {
        of.bias[cone] = mean_with_error(means[cone]);
        if (degrees_of_freedom == 0)
            continue;
        const double sd = std::sqrt(squares[static_cast<Eigen::Index>(cone)] / degrees_of_freedom);
        (*of.sd)[cone] = sd_with_error(sd, degrees_of_freedom);
        (*of.precision)[cone] = sd / std::sqrt(static_cast<double>(condition.repeats));
        if (!of.bias[cone].standard_error)
            of.bias[cone].standard_error = sd / std::sqrt(static_cast<double>(of.settings));
    }
    return of;
}

RehearsalSummary::Task runs_of(const std::string& name, const std::vector<SessionTally::TaskRun>& runs) {
    RehearsalSummary::Task of;
    of.name = name;
    of.runs = static_cast<int>(runs.size());
    std::vector<double> ratios;
    double trials = 0.0;
    for (const SessionTally::TaskRun& run : runs) {
        trials += run.trials;
        of.practice_failed += run.practice_failed ? 1 : 0;
        if (run.log10_ratio)
            ratios.push_back(*run.log10_ratio);
    }
    of.mean_trials = runs.empty() ? 0.0 : trials / static_cast<double>(runs.size());
    of.compared = static_cast<int>(ratios.size());
    if (!ratios.empty())
        of.bias_log10 = mean_with_error(ratios);
    if (ratios.size() > 1)
        of.sd_log10 = sd_with_error(sd_of(ratios), static_cast<double>(ratios.size() - 1));
    return of;
}

std::string minutes(double seconds) {
    return fmt::format("{:.1f} min", seconds / 60.0);
}

std::string with_error(const Measured& measured, double factor, int digits) {
    const std::string value = fmt::format("{:+.{}f}", factor * measured.value, digits);
    return measured.standard_error
               ? fmt::format("{} +- {:.{}f}", value, factor * *measured.standard_error, digits)
               : value;
}

std::string condition_text(const RehearsalSummary::Condition& condition, bool by_luminance) {
    constexpr double kPercent = 100.0;
    const std::vector<std::string> names =
        by_luminance ? std::vector<std::string>{"luminance"} : std::vector<std::string>{"L", "M", "S"};
    std::string text = fmt::format("{}: {} settings", condition.name, condition.settings);
    if (condition.timed_out > 0)
        text += fmt::format(", {} out of time", condition.timed_out);
    if (condition.moved_starts > 0)
        text += fmt::format(", {} starting points out of gamut and moved", condition.moved_starts);
    if (condition.refused_steps > 0)
        text += fmt::format(", {} steps refused at the gamut's border", condition.refused_steps);
    text += "\n";
    for (std::size_t cone = 0; cone < names.size() && condition.settings > 0; ++cone) {
        text += fmt::format("  {}  bias {} %", names[cone], with_error(condition.bias[cone], kPercent, 3));
        if (condition.sd) {
            text += fmt::format(", SD {:.3f} +- {:.3f} %, precision of an observer's mean {:.3f} %",
                                kPercent * (*condition.sd)[cone].value,
                                kPercent * (*condition.sd)[cone].standard_error.value_or(0.0),
                                kPercent * (*condition.precision)[cone]);
        }
        text += "\n";
    }
    return text;
}

std::string task_text(const RehearsalSummary::Task& task) {
    std::string text = fmt::format("{}: {} runs, {:.1f} trials each", task.name, task.runs, task.mean_trials);
    if (task.practice_failed > 0)
        text += fmt::format(", {} not measured since practice failed", task.practice_failed);
    if (!task.bias_log10)
        return text + "; no estimate to compare with the truth\n";
    text +=
        fmt::format("; threshold from the truth: bias {} log10 units", with_error(*task.bias_log10, 1.0, 3));
    if (task.sd_log10) {
        text += fmt::format(", SD {:.3f} +- {:.3f}", task.sd_log10->value,
                            task.sd_log10->standard_error.value_or(0.0));
    }
    if (task.compared < task.runs - task.practice_failed)
        text += fmt::format(" ({} runs with an estimate)", task.compared);
    return text + "\n";
}

nlohmann::json json_of(double number) {
    return number;
}

nlohmann::json json_of(const Measured& measured) {
    const std::optional<double>& error = measured.standard_error;
    return {{"value", measured.value}, {"standard_error", error ? json_of(*error) : nlohmann::json()}};
}

template <class Value>
nlohmann::json json_of(const std::array<Value, 3>& cones) {
    return {json_of(cones[0]), json_of(cones[1]), json_of(cones[2])};
}

template <class Value>
nlohmann::json json_of(const std::optional<Value>& value) {
    return value ? json_of(*value) : nlohmann::json();
}

}  // namespace

RehearsalSummary summarise(const Protocol& protocol, std::span<const SessionTally::Sums> sessions) {
    ISOSEAM_CHECK(!sessions.empty(), "no session to summarise");
    RehearsalSummary summary;
    summary.sessions = static_cast<int>(sessions.size());
    summary.expected_duration_s = expected_duration_s(protocol);
    summary.by_luminance = protocol.flicker.has_value();
    summary.left = static_cast<int>(std::count_if(sessions.begin(), sessions.end(),
                                                  [](const auto& session) { return !session.finished; }));
    add_durations(summary, sessions);
    for (std::size_t i = 0; i < protocol.conditions.size(); ++i) {
        const Condition& condition = protocol.conditions[i];
        std::vector<SessionTally::Settings> settings;
        std::vector<SessionTally::TaskRun> runs;
        for (const SessionTally::Sums& session : sessions) {
            settings.push_back(session.settings[i]);
            std::copy_if(session.runs.begin(), session.runs.end(), std::back_inserter(runs),
                         [&](const auto& run) { return run.condition == static_cast<int>(i); });
        }
        const Block& block = protocol.blocks[static_cast<std::size_t>(condition.block)];
        if (std::holds_alternative<TaskPlan>(block.plan))
            summary.tasks.push_back(runs_of(condition.name, runs));
        else
            summary.conditions.push_back(settings_of(condition, settings));
    }
    return summary;
}

std::string rehearsal_summary_text(const RehearsalSummary& summary) {
    std::string text =
        fmt::format("{} sessions: {} on average, 90 % of them {} to {}; the protocol expects {}\n",
                    summary.sessions, minutes(summary.mean_duration_s), minutes(summary.shortest_duration_s),
                    minutes(summary.longest_duration_s), minutes(summary.expected_duration_s));
    if (summary.left > 0)
        text += fmt::format("{} sessions were left before the end\n", summary.left);
    if (!summary.conditions.empty())
        text += "Settings, as contrast from the match of each observer's own eye (+- standard error):\n";
    for (const RehearsalSummary::Condition& condition : summary.conditions)
        text += condition_text(condition, summary.by_luminance);
    if (!summary.tasks.empty())
        text += "Thresholds, beside what is true of each simulated observer (+- standard error):\n";
    for (const RehearsalSummary::Task& task : summary.tasks)
        text += task_text(task);
    return text;
}

nlohmann::json to_json(const RehearsalSummary& summary) {
    nlohmann::json conditions = nlohmann::json::array();
    for (const RehearsalSummary::Condition& condition : summary.conditions) {
        const bool any = condition.settings > 0;
        conditions.push_back({{"name", condition.name},
                              {"settings", condition.settings},
                              {"timed_out", condition.timed_out},
                              {"moved_starts", condition.moved_starts},
                              {"refused_steps", condition.refused_steps},
                              {"bias_contrast", any ? json_of(condition.bias) : nlohmann::json()},
                              {"sd_contrast", json_of(condition.sd)},
                              {"precision_contrast", json_of(condition.precision)}});
    }
    nlohmann::json tasks = nlohmann::json::array();
    for (const RehearsalSummary::Task& task : summary.tasks) {
        tasks.push_back({{"name", task.name},
                         {"runs", task.runs},
                         {"practice_failed", task.practice_failed},
                         {"mean_trials", task.mean_trials},
                         {"compared_runs", task.compared},
                         {"bias_log10", json_of(task.bias_log10)},
                         {"sd_log10", json_of(task.sd_log10)}});
    }
    return {{"sessions", summary.sessions},
            {"left", summary.left},
            {"mean_duration_s", summary.mean_duration_s},
            {"shortest_duration_s", summary.shortest_duration_s},
            {"longest_duration_s", summary.longest_duration_s},
            {"expected_duration_s", summary.expected_duration_s},
            {"by_luminance", summary.by_luminance},
            {"conditions", conditions},
            {"tasks", tasks}};
}

}  // namespace isoseam
