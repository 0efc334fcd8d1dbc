#pragma once
// isoseam analyse matches: what settings come to, by the nominal observer or by another eye.

#include "runner/command_line.h"

namespace isoseam {

void add_analyse_matches_command(CLI::App* analyse, CommandContext& context);

}  // namespace isoseam
