#include <fmt/format.h>
#include <fmt/ranges.h>

#include "analysis/study_report/figure_parts.h"
#include "analysis/study_report/section_parts.h"
#include "analysis/study_report/study_tables.h"
#include "analysis/study_report/study_words.h"
#include "analysis/study_report/word_lists.h"
#include "analysis/summaries/text_layout.h"
#include "analysis/summaries/threshold_summary.h"

namespace isoseam {
namespace {

// One number where the ends would look the same.
std::string range_words(const ValueRange& range, int decimals) {
    if (range.empty)
        return "n.d.";
    const std::string low = fixed(range.smallest, decimals);
    const std::string high = fixed(range.largest, decimals);
    return low == high ? low : fmt::format("{} to {}", low, high);
}

std::string halves_words(const std::set<std::string>& halves, const std::set<std::string>& sources) {
    return fmt::format("{} ({})", fmt::join(halves, ", "), fmt::join(sources, ", "));
}

PageTable condition_table(const AskedSeries& series) {
    PageTable table{
        fmt::format("Conditions of {}: what was asked; which half was adjusted, or showed the light at "
                    "the level, and which was the reference, with their sources; the reference by its "
                    "drive values, CIE 1931.",
                    series_words(series.facts)),
        {"condition", "asked", "n", "adjusted, or at the level", "reference", "along", "cd/m\u00b2", "x",
         "y"}};
    for (const AskedCondition& condition : series.conditions)
        table.rows.push_back({condition.condition, form_words(condition.form, condition.places),
                              std::to_string(condition.records()),
                              halves_words(condition.shown_halves, condition.shown_sources),
                              halves_words(condition.reference_halves, condition.reference_sources),
                              fmt::format("{}", fmt::join(condition.axes, ", ")),
                              range_words(condition.luminance_cd_m2, 2), range_words(condition.x, 4),
                              range_words(condition.y, 4)});
    return table;
}

PageTable range_table(const AskedSeries& series) {
    PageTable table{"Where settings started, and which levels were shown, from the predicted match.",
                    {"condition", "asked", "axis", "unit", "from", "to"}};
    const auto add = [&](const AskedCondition& condition, const std::string& axis, const ValueRange& range) {
        const SpaceUnit unit = unit_on_page(condition.space);
        if (!range.empty)
            table.rows.push_back({condition.condition, form_words(condition.form, condition.places), axis,
                                  unit.name, unit.words(range.smallest), unit.words(range.largest)});
    };
    for (const AskedCondition& condition : series.conditions) {
        for (std::size_t axis = 0; axis < condition.start.size(); ++axis)
            add(condition, condition.axes[axis], condition.start[axis]);
        if (condition.form != "setting" && condition.axes.size() == 1)
            add(condition, condition.axes.front(), condition.level);
    }
    return table;
}

std::vector<std::string> course_items(const AskedSeries& series) {
    std::vector<std::string> items{fmt::format("Lights were specified for {}.", listed(series.observers))};
    std::vector<std::string> planned;
    for (const std::size_t count : series.planned)
        planned.push_back(std::to_string(count));
    items.push_back(
        fmt::format("A session was planned with {} settings and answers{}.", listed(planned),
                    series.answers() > 0 ? ", an estimate where procedures end by themselves" : ""));
    const std::string adaptations = adaptations_words(series);
    items.push_back(adaptations.empty() ? "No adaptation is recorded."
                                        : fmt::format("Adaptation, each time: {}.", adaptations));
    const std::string sessions = counted(series.facts.sessions.size(), "session");
    const auto add = [&](std::size_t count, const std::string& before, const std::string& after) {
        if (count > 0)
            items.push_back(fmt::format("{} {}{}.", before, count, after));
    };
    add(series.adaptations_cut_short, "Adaptation was cut short",
        fmt::format(" of {} times", series.adaptations_shown));
    add(series.asked_exclusion, "Exclusion questions were asked in", " of " + sessions);
    add(series.asked_before_flicker, "Before flicker an exclusion question was asked in", " of " + sessions);
    add(series.agreed, "A page of consent was agreed to in", " of " + sessions);
    add(series.rests, "Rests:", " in all");
    add(series.disturbances, "Pauses and disturbances:", " in all");
    add(series.timed_out, "Settings whose time was over, and which do not count:", "");
    return items;
}

}  // namespace

PageSection asked_section(const StudyEvidence& evidence) {
    PageSection section{
        "What was asked",
        {PageParagraph{"As records and headers tell it. The protocol itself is kept as text in each session "
                       "folder; its hash stands under \u201cProvenance\u201d."}},
        {},
        false};
    for (const AskedSeries& series : evidence.series) {
        PageSection part{series_words(series.facts), {PageList{course_items(series)}}};
        part.blocks.emplace_back(condition_table(series));
        add_table(part, range_table(series));
        section.sections.push_back(std::move(part));
    }
    return section;
}

}  // namespace isoseam
