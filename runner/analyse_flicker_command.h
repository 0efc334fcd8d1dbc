#pragma once
// isoseam analyse flicker: how L and M weigh in luminance, from settings of least flicker.

#include "runner/command_line.h"

namespace isoseam {

void add_analyse_flicker_command(CLI::App* analyse, CommandContext& context);

}  // namespace isoseam
