#pragma once
// isoseam session place.

#include <CLI/CLI.hpp>

#include "runner/command_line.h"

namespace isoseam {

void add_place_command(CLI::App& session, CommandContext& context);

}  // namespace isoseam
