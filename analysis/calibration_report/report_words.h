#pragma once
// The report's plain words. Nothing is said that the files do not say.

#include <string>
#include <vector>

#include "analysis/calibration_report/calibration_evidence.h"

namespace isoseam {

// What a reader must know before anything else; empty where there is nothing.
std::vector<std::string> warnings_of(const CalibrationEvidence& evidence);

std::vector<std::string> what_was_measured(const CalibrationEvidence& evidence);  // paragraphs
std::vector<std::string> how_far_to_trust(const CalibrationEvidence& evidence);   // items
std::vector<std::string> what_it_cannot_do(const CalibrationEvidence& evidence);  // items
std::vector<std::string> methods(const CalibrationEvidence& evidence);            // paragraphs

// Parts of the report for which the readings have no data, each with what would give it.
std::vector<std::string> left_out(const CalibrationEvidence& evidence);

std::string unit_of(const CalibrationEvidence& evidence);  // "cd/m2" or "counts", of luminances

}  // namespace isoseam
