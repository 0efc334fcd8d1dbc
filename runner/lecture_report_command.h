#pragma once
// isoseam lecture report.

#include <CLI/CLI.hpp>

#include "runner/command_line.h"

namespace isoseam {

void add_lecture_report_command(CLI::App* lecture, CommandContext& context);

}  // namespace isoseam
