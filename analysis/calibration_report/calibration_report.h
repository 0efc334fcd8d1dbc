#pragma once
// A calibration as one page for those who did not take part in it: what was measured, how far to trust it,
// what it cannot do; numbers, figures, and which files they follow from.

#include <functional>
#include <string>
#include <vector>

#include "analysis/calibration_report/calibration_evidence.h"

namespace isoseam {

// An input file. Only its name is told, not where it lay.
struct ReportedFile {
    std::string part;  // "readings", "calibration", ...
    std::string name;
    std::string sha256;
};

struct ReportFigure {
    std::string id;  // a word
    std::string caption;
    Figure figure;
};
// Those for which there is data.
std::vector<ReportFigure> report_figures(const CalibrationEvidence& evidence);

using Draw = std::function<std::string(const Figure&)>;  // to SVG

// HTML that is well-formed XML too, and asks for nothing from outside. The same evidence gives the same page:
// no time of day is in it. `program` names who wrote it, in words.
std::string calibration_report(const CalibrationEvidence& evidence, const std::vector<ReportedFile>& files,
                               const std::string& program, const Draw& draw);

}  // namespace isoseam
