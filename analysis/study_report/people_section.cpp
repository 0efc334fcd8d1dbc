#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "analysis/study_report/section_parts.h"
#include "analysis/study_report/study_tables.h"
#include "analysis/study_report/study_words.h"
#include "analysis/study_report/word_lists.h"
#include "analysis/summaries/add_once.h"

namespace isoseam {
namespace {

// A question of this name tells an age; there is no other record of one.
constexpr const char* kAgeQuestion = "age";

std::string age_of(const StudyEvidence& evidence, const StudyParticipant& participant) {
    std::vector<std::string> ages;
    for (const QuestionAnswer& answer : evidence.questions) {
        const bool is_ones = std::find(participant.sessions.begin(), participant.sessions.end(),
                                       answer.session) != participant.sessions.end();
        if (is_ones && answer.participant == participant.code && answer.name == kAgeQuestion)
            add_once(ages, answer.value);
    }
    return ages.empty() ? "not told" : fmt::format("{}", fmt::join(ages, ", "));
}

PageTable participants_table(const StudyEvidence& evidence, bool has_ages) {
    PageTable table{
        "Participants, by their codes.",
        {"participant", "who", "sessions", "days", "settings", "answers", "practice", "incomplete"}};
    if (has_ages)
        table.header.emplace_back("age, as answered");
    for (const StudyParticipant& one : evidence.participants) {
        table.rows.push_back({one.code, one.simulated ? "simulated" : "person",
                              std::to_string(one.sessions.size()),
                              one.simulated ? "\u2013" : fmt::format("{}", fmt::join(one.days, ", ")),
                              std::to_string(one.settings), std::to_string(one.answers),
                              std::to_string(one.practice), std::to_string(one.incomplete)});
        if (has_ages)
            table.rows.back().push_back(age_of(evidence, one));
    }
    return table;
}

}  // namespace

PageSection people_section(const StudyEvidence& evidence) {
    PageSection section{"Who took part"};
    const bool has_ages =
        std::any_of(evidence.questions.begin(), evidence.questions.end(),
                    [](const QuestionAnswer& answer) { return answer.name == kAgeQuestion; });
    section.blocks.emplace_back(PageParagraph{
        std::string("Participants are known by a code; the files hold nothing else that could identify a "
                    "person.") +
        (has_ages ? "" : " Ages are not recorded.")});
    section.blocks.emplace_back(participants_table(evidence, has_ages));
    PageTable table{"What they answered about themselves.",
                    {"participant", "session", "when", "question", "answer"}};
    for (const QuestionAnswer& one : evidence.questions)
        table.rows.push_back({one.participant, one.session, one.when, one.name, one.value});
    add_table(section, std::move(table));
    return section;
}

}  // namespace isoseam
