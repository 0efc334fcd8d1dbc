#pragma once
// This header makes the tables of the report.

#include <vector>

#include "analysis/calibration_report/calibration_evidence.h"
#include "analysis/pages/html.h"

namespace isoseam {

// Gives tables of white and the primaries, the tone responses, their candidates, the tests, the interactions,
// the mixtures and the verification. A table for which there are no data is left out.
std::vector<PageTable> report_tables(const CalibrationEvidence& evidence);

}  // namespace isoseam
