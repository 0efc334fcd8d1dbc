#include "analysis/study_report/study_report.h"

#include <fmt/format.h>

#include <algorithm>

#include "analysis/study_report/match_section.h"
#include "analysis/study_report/methods_words.h"
#include "analysis/study_report/section_parts.h"
#include "analysis/study_report/study_tables.h"
#include "analysis/study_report/study_words.h"
#include "analysis/study_report/task_section.h"

namespace isoseam {
namespace {

PageSection results_section(const StudyEvidence& evidence) {
    PageSection section{"Results"};
    for (const MatchSeries& series : evidence.matches.series) {
        const auto typical =
            std::find_if(evidence.typical.begin(), evidence.typical.end(),
                         [&](const TypicalSetting& one) { return one.series == series_key(series); });
        section.sections.push_back(
            match_section(series, typical == evidence.typical.end() ? nullptr : &*typical));
    }
    for (const ThresholdSeries& series : evidence.thresholds.series)
        section.sections.push_back(threshold_section(series, evidence.thresholds.options));
    for (const FlickerSeries& series : evidence.flicker.series) {
        if (tells_of_flicker(series))
            section.sections.push_back(flicker_section(series));
    }
    return section;
}

PageSection methods_section(const StudyEvidence& evidence, const std::string& program) {
    PageSection section{"Methods"};
    add_paragraphs(section, methods_paragraphs(evidence, program));
    return section;
}

PageSection cautions_section(const StudyEvidence& evidence) {
    PageSection section{"Cautions"};
    add_list(section, "The sessions themselves carry these:", session_cautions(evidence));
    section.blocks.emplace_back(PageParagraph{no_diagnosis()});
    PageSection part{"What lights of the same primaries cannot show"};
    add_paragraphs(part, same_primaries_words(evidence));
    add_part(section, std::move(part));
    return section;
}

}  // namespace

PageDocument study_report(const StudyEvidence& evidence, const std::string& program) {
    PageDocument document;
    document.title = study_title(evidence);
    document.lead = study_lead(evidence);
    document.dated_utc = evidence.newest_utc.empty() ? "2000-01-01T00:00:00Z" : evidence.newest_utc;
    document.program = program;
    document.closing = fmt::format(
        "Computed and written by {}. The same folders give the same report; it carries the date of the "
        "newest session, not that of its making.",
        program);
    if (std::vector<std::string> warnings = study_warnings(evidence); !warnings.empty())
        document.sections.push_back({"Read this first", {PageList{std::move(warnings)}}, {}, true});
    if (!evidence.series.empty()) {
        document.sections.push_back(people_section(evidence));
        document.sections.push_back(rig_section(evidence));
        document.sections.push_back(asked_section(evidence));
        document.sections.push_back(results_section(evidence));
        document.sections.push_back(methods_section(evidence, program));
        document.sections.push_back(cautions_section(evidence));
    }
    document.sections.push_back(provenance_section(evidence));
    number_captions(document);
    return document;
}

}  // namespace isoseam
