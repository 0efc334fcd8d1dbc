#pragma once
// The study report is a document for readers who did not take part in the study. It says who took part, with
// which equipment, what was asked, what the results are, how they were computed, what they cannot show, and
// which folders they rest on.

#include "analysis/pages/document.h"
#include "analysis/study_report/study_evidence.h"

namespace isoseam {

// `program` names the program that writes the document, in words. The same evidence gives the same document,
// because no time of day is in it.
PageDocument study_report(const StudyEvidence& evidence, const std::string& program);

}  // namespace isoseam
