#pragma once
// A study as a document for readers who did not take part: who, with what, what was asked, what came of it,
// how it was computed, what it cannot show, and which folders it rests on.

#include "analysis/pages/document.h"
#include "analysis/study_report/study_evidence.h"

namespace isoseam {

// `program` names who writes it, in words. The same evidence gives the same document: no time of day is in
// it.
PageDocument study_report(const StudyEvidence& evidence, const std::string& program);

}  // namespace isoseam
