#pragma once
// isoseam session rehearse.

#include <CLI/CLI.hpp>

#include "runner/command_line.h"

namespace isoseam {

void add_rehearse_command(CLI::App& session, CommandContext& context);

}  // namespace isoseam
