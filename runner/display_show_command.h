#pragma once
// isoseam display show.

#include "runner/command_line.h"

namespace isoseam {

void add_display_show_command(CLI::App& display, CommandContext& context);

}  // namespace isoseam
