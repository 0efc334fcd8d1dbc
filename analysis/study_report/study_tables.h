#pragma once
// These sections of the report say who took part, with which equipment, what was asked, and what all of it
// rests on.

#include "analysis/pages/document.h"
#include "analysis/study_report/study_evidence.h"

namespace isoseam {

PageSection people_section(const StudyEvidence& evidence);
PageSection rig_section(const StudyEvidence& evidence);
PageSection asked_section(const StudyEvidence& evidence);
PageSection provenance_section(const StudyEvidence& evidence);

}  // namespace isoseam
