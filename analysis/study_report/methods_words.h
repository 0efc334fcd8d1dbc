#pragma once
// These functions write the methods as a paper would describe them, from what the files hold and from nothing
// else.

#include <string>
#include <vector>

#include "analysis/study_report/study_evidence.h"

namespace isoseam {

// Gives one paragraph for each series, and one on the analysis.
std::vector<std::string> methods_paragraphs(const StudyEvidence& evidence, const std::string& program);

}  // namespace isoseam
