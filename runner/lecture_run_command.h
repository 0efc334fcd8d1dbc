#pragma once
// isoseam lecture run.

#include <CLI/CLI.hpp>

#include "runner/command_line.h"

namespace isoseam {

void add_lecture_run_command(CLI::App* lecture, CommandContext& context);

}  // namespace isoseam
