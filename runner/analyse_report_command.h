#pragma once
// isoseam analyse report: a study as one page, and as PDF.

#include "runner/command_line.h"

namespace isoseam {

void add_analyse_report_command(CLI::App* analyse, CommandContext& context);

}  // namespace isoseam
