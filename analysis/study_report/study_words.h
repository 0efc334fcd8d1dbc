#pragma once
// These functions write the plain sentences of the report, except those of the methods. They say nothing that
// the files do not say.

#include <string>
#include <vector>

#include "analysis/study_report/study_evidence.h"

namespace isoseam {

std::string study_title(const StudyEvidence& evidence);
std::vector<std::string> study_lead(const StudyEvidence& evidence);  // paragraphs

// Says what a reader must know before anything else. The list is empty if there is no such thing.
std::vector<std::string> study_warnings(const StudyEvidence& evidence);
// Gives the cautions of the sessions, each once.
std::vector<std::string> session_cautions(const StudyEvidence& evidence);
// Says what conditions with the same three primaries in both halves cannot show. The list is empty if there
// are no such conditions.
std::vector<std::string> same_primaries_words(const StudyEvidence& evidence);
std::string no_diagnosis();

// "5 simulated observers", "1 participant".
std::string people_words(std::size_t count, bool simulated);
// "5 rehearsals", "1 session".
std::string sessions_words(std::size_t count, bool simulated);
// "condition a", "conditions a and b".
std::string conditions_words(const std::vector<std::string>& names);
// Gives the adapting lights and their times, or "" if there are none.
std::string adaptations_words(const AskedSeries& series);
// The screen's name, or the statement that the file does not give it.
std::string screen_words(const UsedCalibration& used);

}  // namespace isoseam
