#include "analysis/study_report/methods_words.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "analysis/study_report/study_words.h"
#include "analysis/study_report/task_section.h"
#include "analysis/study_report/word_lists.h"

namespace isoseam {
namespace {

std::string days_words(const std::set<std::string>& days) {
    if (days.empty())
        return "";
    return days.size() == 1 ? " on " + *days.begin()
                            : fmt::format(" from {} to {}", *days.begin(), *days.rbegin());
}

std::string who_words(const AskedSeries& series) {
    constexpr std::size_t kHashDigits = 12;
    const std::size_t people = series.facts.participants.size();
    const std::size_t sessions = series.facts.sessions.size();
    std::string words =
        fmt::format("{} took part in {} of the protocol {} (SHA-256 {}\u2026), recorded by Isoseam {}{}.",
                    people_words(people, series.simulated()), sessions_words(sessions, series.simulated()),
                    series.facts.protocol_file, series.facts.protocol_sha256.substr(0, kHashDigits),
                    listed(series.program_versions), days_words(series.days));
    if (series.simulated())
        words += " No person took part.";
    const auto complete = series.states.find("complete");
    const std::size_t incomplete = sessions - (complete == series.states.end() ? 0 : complete->second);
    if (incomplete > 0)
        words +=
            fmt::format(" {} left early or interrupted and {} with what {}.",
                        counted(incomplete, "session was", "sessions were"),
                        incomplete == 1 ? "counts" : "count", incomplete == 1 ? "it holds" : "they hold");
    return words;
}

std::string calibration_words(const UsedCalibration& used) {
    if (!used.calibration)
        return fmt::format("calibration file {}, which cannot be read", used.file);
    const Calibration& screen = *used.calibration;
    std::string words = fmt::format("calibration file {}", used.file);
    if (screen.invented)
        return words + ", invented demo data";
    if (screen.estimated)
        return words + ", estimated by eye";
    if (tells(screen, "measured.on"))
        words += " of " + to_string(screen.measured_on);
    if (tells(screen, "measured.with"))
        words += fmt::format(", measured with {}", screen.measured_with);
    return words;
}

std::string rig_words(const AskedSeries& series, const StudyEvidence& evidence) {
    std::string words;
    for (const UsedSource& source : series.sources) {
        const UsedCalibration& calibration = calibration_of(evidence, source.calibration);
        words += fmt::format(
            " Source {} was {} ({}), driven with {} bits for each primary {}{}.", quoted_words(source.name),
            screen_words(calibration), calibration_words(calibration), source.bits,
            source.dither == "none" ? "without dither" : fmt::format("and {} dither", source.dither),
            calibration.white ? fmt::format("; its white has {:.4g} cd/m\u00b2", calibration.white->y) : "");
    }
    return words;
}

std::string lights_words(const AskedSeries& series) {
    std::string words = fmt::format(" Lights were specified for the observer {}.", listed(series.observers));
    const std::string adaptations = adaptations_words(series);
    if (!adaptations.empty())
        words += fmt::format(" Adapting lights were shown: {}{}.", adaptations,
                             series.adaptations_cut_short == 0
                                 ? ""
                                 : fmt::format(", but cut short {} of {} times", series.adaptations_cut_short,
                                               series.adaptations_shown));
    return words;
}

std::string half_words(const std::set<std::string>& halves) {
    std::vector<std::string> words;
    for (const std::string& half : halves)
        words.push_back(half == "first" || half == "second" ? "the " + half + " of two lights that took turns"
                        : half == "others"                  ? "the other places"
                        : half == "odd"                     ? "one place"
                                                            : "the " + half + " half");
    return listed(words);
}

std::string space_words(const std::string& space) {
    if (space == "macleod_boynton")
        return "MacLeod-Boynton coordinates";
    return space == "primaries" ? "the primaries\u2019 drive" : "cone contrast";
}

// Conditions that differ by name only are told together.
struct LikeConditions {
    std::vector<std::string> names = {};
    const AskedCondition* first = nullptr;
    std::size_t records = 0;
    std::size_t practice = 0;
    std::size_t least = 0;  // of one participant in one condition
    std::size_t most = 0;
};

auto likeness(const AskedCondition& one) {
    return std::tie(one.form, one.places, one.space, one.axes, one.shown_halves, one.shown_sources,
                    one.reference_halves, one.reference_sources, one.shares_primaries, one.primaries_known);
}

std::vector<LikeConditions> grouped(const AskedSeries& series) {
    std::vector<LikeConditions> groups;
    for (const AskedCondition& one : series.conditions) {
        auto found = std::find_if(groups.begin(), groups.end(), [&](const LikeConditions& group) {
            return likeness(*group.first) == likeness(one);
        });
        if (found == groups.end())
            found = groups.insert(groups.end(), LikeConditions{{}, &one});
        found->names.push_back(quoted_words(one.condition));
        found->records += one.records();
        found->practice += one.practice;
        for (const auto& [participant, count] : one.records_by_participant) {
            found->least = found->most == 0 ? count : std::min(found->least, count);
            found->most = std::max(found->most, count);
        }
    }
    return groups;
}

// "there were 6 settings of each condition for each participant, 30 in all"
std::string count_words(const LikeConditions& group, const std::string& record) {
    const std::string each = group.least == group.most
                                 ? counted(group.most, record)
                                 : fmt::format("{} to {}", group.least, counted(group.most, record));
    return fmt::format("there {} {}{} for each participant, {} in all",
                       each.starts_with("1 ") ? "was" : "were", each,
                       group.names.size() == 1 ? "" : " of each condition", group.records);
}

std::string primaries_words(const AskedCondition& condition) {
    if (!condition.primaries_known)
        return "";
    return condition.shares_primaries ? " Both lights came from the same primaries."
                                      : " The two lights came from different primaries.";
}

std::string setting_words(const LikeConditions& group) {
    const AskedCondition& one = *group.first;
    const bool started_apart = std::any_of(one.start.begin(), one.start.end(), [](const ValueRange& range) {
        return range.smallest < range.largest;
    });
    return fmt::format(
        " In the {}, {} (source {}) was adjusted along {} in {}, and {} (source {}) was the reference; "
        "{}.{}{}",
        conditions_words(group.names), half_words(one.shown_halves), listed(one.shown_sources),
        listed(one.axes), space_words(one.space), half_words(one.reference_halves),
        listed(one.reference_sources), count_words(group, "setting"),
        started_apart ? " Starting points differed from setting to setting." : "", primaries_words(one));
}

std::string answer_words(const LikeConditions& group) {
    const AskedCondition& one = *group.first;
    return fmt::format(
        " In the {}, answers ({}) were given to lights along {} in {}; {}{}.{}",
        conditions_words(group.names), form_words(one.form, one.places), listed(one.axes),
        space_words(one.space), count_words(group, "answer"),
        group.practice > 0 ? fmt::format(", and {} in practice, which do not count", group.practice) : "",
        primaries_words(one));
}

std::string series_paragraph(const AskedSeries& series, const StudyEvidence& evidence) {
    std::string words = who_words(series) + rig_words(series, evidence) + lights_words(series);
    for (const LikeConditions& group : grouped(series)) {
        if (group.records > 0)
            words += group.first->form == "setting" ? setting_words(group) : answer_words(group);
    }
    return words;
}

bool any_scatter(const StudyEvidence& evidence) {
    return std::any_of(
        evidence.matches.series.begin(), evidence.matches.series.end(), [](const MatchSeries& series) {
            return std::any_of(series.conditions.begin(), series.conditions.end(),
                               [](const ConditionSummary& row) { return row.chromaticity.has_value(); });
        });
}

std::string analysis_paragraph(const StudyEvidence& evidence, const std::string& program) {
    std::string words;
    if (!evidence.matches.series.empty())
        words +=
            "For each participant and condition, the mean and the standard deviation (n \u2212 1) of the "
            "settings\u2019 cone contrast from the predicted match were taken, by the drive values of both "
            "halves for the nominal observer. ";
    if (any_scatter(evidence))
        words +=
            "Scatter is told in MacLeod-Boynton l, s (CIE 170-2:2015) by 95 % ellipses of settings "
            "(chi-square) and of the mean (F distribution), and the mean was held against the predicted "
            "match by Hotelling\u2019s test. ";
    if (evidence.has_components())
        words +=
            "Variances between and within participants were estimated by one-way random effects (analysis "
            "of variance). ";
    if (!evidence.thresholds.series.empty()) {
        const ThresholdOptions& options = evidence.thresholds.options;
        words += fmt::format(
            "Thresholds and slopes are those of {} functions of highest likelihood{}, with 95 % intervals by "
            "profile likelihood. ",
            psychometric_form_words(options.form),
            options.lapse ? fmt::format(" at a lapse rate of {:g}", *options.lapse) : "");
    }
    if (evidence.has_flicker())
        words +=
            "The weight of L in luminance was found for each participant by maximum likelihood over the "
            "settings of least flicker, with 95 % intervals by profile likelihood. ";
    return fmt::format("{}All was computed by {}.", words, program);
}

}  // namespace

std::vector<std::string> methods_paragraphs(const StudyEvidence& evidence, const std::string& program) {
    std::vector<std::string> paragraphs;
    for (const AskedSeries& series : evidence.series)
        paragraphs.push_back(series_paragraph(series, evidence));
    if (!paragraphs.empty())
        paragraphs.push_back(analysis_paragraph(evidence, program));
    return paragraphs;
}

}  // namespace isoseam
