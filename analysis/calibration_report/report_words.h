#pragma once
// These functions write the plain sentences of the report. They say nothing that the files do not say.

#include <string>
#include <vector>

#include "analysis/calibration_report/calibration_evidence.h"

namespace isoseam {

// Says what a reader must know before anything else. The list is empty if there is no such thing.
std::vector<std::string> warnings_of(const CalibrationEvidence& evidence);

std::vector<std::string> what_was_measured(const CalibrationEvidence& evidence);  // paragraphs
std::vector<std::string> how_far_to_trust(const CalibrationEvidence& evidence);   // items
std::vector<std::string> what_it_cannot_do(const CalibrationEvidence& evidence);  // items
std::vector<std::string> methods(const CalibrationEvidence& evidence);            // paragraphs

// Names the parts of the report for which the readings have no data, and says for each what would give the
// data.
std::vector<std::string> left_out(const CalibrationEvidence& evidence);

// The unit of luminances: "cd/m2" or "counts".
std::string unit_of(const CalibrationEvidence& evidence);

}  // namespace isoseam
