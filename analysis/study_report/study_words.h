#pragma once
// The report's plain words but for the methods. Nothing is said that the files do not say.

#include <string>
#include <vector>

#include "analysis/study_report/study_evidence.h"

namespace isoseam {

std::string study_title(const StudyEvidence& evidence);
std::vector<std::string> study_lead(const StudyEvidence& evidence);  // paragraphs

// What a reader must know before anything else; empty where there is nothing.
std::vector<std::string> study_warnings(const StudyEvidence& evidence);
// Of the sessions, each once.
std::vector<std::string> session_cautions(const StudyEvidence& evidence);
// What conditions with the same three primaries in both halves cannot show; empty where there are none.
std::vector<std::string> same_primaries_words(const StudyEvidence& evidence);
std::string no_diagnosis();

// "5 simulated observers", "1 participant".
std::string people_words(std::size_t count, bool simulated);
std::string screen_words(const UsedCalibration& used);  // its name, or that it is not told

}  // namespace isoseam
