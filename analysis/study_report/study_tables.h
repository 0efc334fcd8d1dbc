#pragma once
// Who, with what, what was asked, and what all of it rests on: sections of the report.

#include "analysis/pages/document.h"
#include "analysis/study_report/study_evidence.h"

namespace isoseam {

PageSection people_section(const StudyEvidence& evidence);
PageSection rig_section(const StudyEvidence& evidence);
PageSection asked_section(const StudyEvidence& evidence);
PageSection provenance_section(const StudyEvidence& evidence);

}  // namespace isoseam
