#pragma once
// isoseam lecture check | show | preview | schema | list: everything about a lecture without a class.

#include <CLI/CLI.hpp>

#include "runner/command_line.h"

namespace isoseam {

void add_lecture_check_commands(CLI::App* lecture, CommandContext& context);

}  // namespace isoseam
