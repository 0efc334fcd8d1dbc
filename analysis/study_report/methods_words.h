#pragma once
// The methods as a paper would tell them, from what the files hold and nothing else.

#include <string>
#include <vector>

#include "analysis/study_report/study_evidence.h"

namespace isoseam {

// One paragraph for each series, and one on the analysis.
std::vector<std::string> methods_paragraphs(const StudyEvidence& evidence, const std::string& program);

}  // namespace isoseam
