#pragma once
// isoseam results export: a data set for others.

#include "runner/command_line.h"

namespace isoseam {

void add_export_command(CLI::App* results, CommandContext& context);

}  // namespace isoseam
