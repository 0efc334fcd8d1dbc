#pragma once
// isoseam analyse thresholds: what the answers to tasks come to.

#include "runner/command_line.h"

namespace isoseam {

void add_analyse_thresholds_command(CLI::App* analyse, CommandContext& context);

}  // namespace isoseam
