#pragma once
// isoseam display export: a calibration or its readings in an open format.

#include "runner/command_line.h"

namespace isoseam {

void add_display_export_command(CLI::App& display, CommandContext& context);

}  // namespace isoseam
