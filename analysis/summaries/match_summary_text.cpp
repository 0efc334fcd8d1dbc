// The summary of matches as text.
#include <fmt/format.h>

#include <cmath>

#include "analysis/summaries/match_summary.h"
#include "analysis/summaries/match_tables.h"
#include "analysis/summaries/text_layout.h"
#include "analysis/summaries/value_words.h"
#include "base/ordered_work.h"

namespace isoseam {
namespace {

// A p below it is called an effect in words; of 20 tests without any effect one is.
constexpr double kNotByChance = 0.05;

std::string slope_cells(const std::optional<PooledSlope>& slope, const SpaceUnit& unit) {
    if (!slope)
        return fmt::format("{:>10}{:>28}", "n.d.", "");
    return fmt::format("{:>10}{:>10}{:>10}{:>8}", unit.words(slope->slope),
                       unit.words(slope->interval_95.low), unit.words(slope->interval_95.high),
                       p_words(slope->p));
}

std::string trend_words(const AxisTrend& trend) {
    const auto told = [](const std::optional<PooledSlope>& slope) {
        return slope && slope->p < kNotByChance;
    };
    const std::string drift = told(trend.drift) ? "drifts" : "";
    const std::string start = !told(trend.start)         ? ""
                              : trend.start->slope > 0.0 ? "stays near its start"
                                                         : "overshoots";
    return drift + (drift.empty() || start.empty() ? "" : ", ") + start;
}

std::string trend_table(const ParticipantTrends& trends) {
    constexpr double kTrials = 10.0;
    std::string text = fmt::format("\n{:{}}{:>38}{:>38}\n", "", kAxisWidth,
                                   "drift per 10 trials: slope, 95 %, p", "setting on start: slope, 95 %, p");
    for (const AxisTrend& trend : trends.axes) {
        const SpaceUnit unit = unit_of_space(trend.space);
        text += fmt::format("{}{}{}", name_cell(trend.axis, kAxisWidth),
                            slope_cells(trend.drift, {unit.factor * kTrials, unit.decimals, ""}),
                            slope_cells(trend.start, {1.0, 3, ""}));
        const std::string words = trend_words(trend);
        text += words.empty() ? "\n" : fmt::format("\n{:>{}}\n", words, kAxisWidth + 76);
    }
    return text;
}

std::string participant_tables(const ConditionRows& rows, const ParticipantTrends& trends,
                               std::size_t participants, bool full) {
    const bool own = rows.front()->participant.has_value();
    std::string text =
        own ? fmt::format("\nParticipant {}\n", *rows.front()->participant)
            : fmt::format("\nAll {} participants, each with the same weight (SDs are of all settings)\n",
                          participants);
    return text + condition_tables(rows) + scatter_tables(rows, full) + trend_table(trends) +
           serial_table(rows);
}

std::string component_row(const ComponentsSummary& summary) {
    const SpaceUnit unit =
        unit_of_coordinate(summary.coordinate, unit_of_space(summary.space), "% contrast", "x 1000");
    const VarianceComponents& c = summary.components;
    std::string text =
        name_cell(summary.condition, kConditionWidth) + name_cell(summary.coordinate, kAxisWidth);
    for (const double value : {c.mean, c.mean_95.low, c.mean_95.high})
        text += fmt::format("{:>9}", unit.words(value));
    for (const double variance : {c.between, c.between_95.low, c.between_95.high, c.within})
        text += fmt::format("{:>9}", variance < 0.0 ? "below 0" : unit.words(std::sqrt(variance)));
    return text + fmt::format("{} {}\n", c.observers_differ() ? " " : "*", unit.name);
}

std::string components_table(const std::vector<ComponentsSummary>& components, bool full) {
    std::string rows;
    bool some_alike = false;
    for (const ComponentsSummary& summary : components) {
        if (!full && summary.coordinate.starts_with("contrast "))
            continue;
        rows += component_row(summary);
        some_alike |= !summary.components.observers_differ();
    }
    if (rows.empty())
        return rows;
    std::string text = "\nBetween and within participants (one-way random effects)\n";
    text += fmt::format("{:{}}{:>27}{:>27}{:>9}\n", "", kConditionWidth + kAxisWidth,
                        "mean of participants, 95 %", "SD between, 95 %", "SD");
    text += fmt::format("{:<{}}{:<{}}{:>9}{:>9}{:>9}{:>9}{:>9}{:>9}{:>9}  {}\n", "condition", kConditionWidth,
                        "coordinate", kAxisWidth, "mean", "from", "to", "SD", "from", "to", "within", "unit");
    return text + rows + (some_alike ? "* not distinguishable from 0 between participants\n" : "");
}

std::string series_text(const MatchSeries& series, const std::string& eye, bool full) {
    std::string text = series_heading(series, "Matches", "setting");
    if (!eye.empty())
        text += wrapped("ANOTHER EYE: excitations, contrasts, l, s and predicted matches are those of " +
                        eye + "; settings along their axes stay as recorded");
    for (const std::string& note : series.notes)
        text += wrapped("Note: " + note);
    std::vector<ConditionRows> blocks;
    for (const ConditionSummary& row : series.conditions) {
        if (blocks.empty() || blocks.back().front()->participant != row.participant)
            blocks.emplace_back();
        blocks.back().push_back(&row);
    }
    in_order(
        blocks.size(),
        [&](std::size_t i) {
            return participant_tables(blocks[i], series.trends[i], series.participants.size(), full);
        },
        [&](const std::string& tables) { text += tables; });
    return text + components_table(series.components, full) + "\n";
}

std::string explanations() {
    return wrapped(
               "distance: length of the mean contrast, in %. refused: steps out of gamut, not taken. moved: "
               "random starts out of gamut, moved towards the predicted match. n.d.: not defined, or too few "
               "settings.") +
           wrapped(
               "robust: Huber's estimate of the mean, and 1.4826 times the median absolute deviation. "
               "Settings far off by it are named; of 20 sets of normal settings one has any.") +
           wrapped(
               "Hotelling p: that the mean lies so far from the predicted match by chance; beside the range "
               "in the axes of adjustment, beside ellipses in l and s. Of many conditions some are below "
               "0.05 by chance.") +
           wrapped(
               "l, s: MacLeod-Boynton chromaticity, setting minus predicted match. x, y and u', v' (CIE "
               "1931, CIE 1976): of the adjusted half. Ellipses: semi-axes and the angle of the major one "
               "from the first axis; 95 % of settings takes the covariance as if it were known, 95 % of the "
               "mean is where the mean of endless units is: of participants, of one participant's sessions, "
               "or of one session's settings, as said above.") +
           wrapped(
               "drift and start: what differs within one condition of one session. setting on start: 0 is no "
               "effect, 1 would be settings that stay where they began. For all participants: the mean of "
               "the participants' slopes, held against how they differ.") +
           wrapped(
               "Serial correlation: of a setting with the next one of its condition and session, after the "
               "session's mean and straight drift. By chance: what independent settings give. p: that "
               "independent settings differ so far from it, to either side.");
}

}  // namespace

std::string match_summary_text(const MatchSummary& summary, bool full) {
    std::string text;
    for (const MatchSeries& series : summary.series)
        text += series_text(series, summary.eye, full);
    if (!summary.series.empty()) {
        text += explanations();
        text += wrapped(
            fmt::format("The predicted match is that of {}. A distance from it is no diagnosis: {}",
                        summary.eye.empty() ? "the nominal observer" : "the eye named above", kWhoDiagnoses));
        text += "\n";
    }
    return text + folders_text(summary.folders, "setting");
}

}  // namespace isoseam
