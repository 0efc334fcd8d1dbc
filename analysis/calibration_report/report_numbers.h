#pragma once
// The report's tables.

#include <vector>

#include "analysis/calibration_report/calibration_evidence.h"
#include "analysis/pages/html.h"

namespace isoseam {

// White and primaries, tone responses, their candidates, tests, interactions, mixtures, verification; those
// for which there is data.
std::vector<PageTable> report_tables(const CalibrationEvidence& evidence);

}  // namespace isoseam
