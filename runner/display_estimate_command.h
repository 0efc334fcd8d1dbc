#pragma once
// isoseam display estimate.

#include "runner/command_line.h"

namespace isoseam {

void add_display_estimate_command(CLI::App& display, CommandContext& context);

}  // namespace isoseam
