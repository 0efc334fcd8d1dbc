#pragma once
// A report shows a calibration on one page, for readers who did not take part in it. It says what was
// measured, how far the calibration can be trusted and what it cannot do. It has numbers, figures, and a list
// of the files that they follow from.

#include <functional>
#include <string>
#include <vector>

#include "analysis/calibration_report/calibration_evidence.h"

namespace isoseam {

// This is an input file. The report gives its name, but not the folder in which it lay.
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
// Gives only the figures for which there are data.
std::vector<ReportFigure> report_figures(const CalibrationEvidence& evidence);

using Draw = std::function<std::string(const Figure&)>;  // to SVG

// Gives HTML that is well-formed XML too and loads nothing from outside. The same evidence gives the same
// page, because no time of day is in it. `program` names the program that wrote the page, in words.
std::string calibration_report(const CalibrationEvidence& evidence, const std::vector<ReportedFile>& files,
                               const std::string& program, const Draw& draw);

}  // namespace isoseam
