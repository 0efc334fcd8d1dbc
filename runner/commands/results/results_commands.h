#pragma once
// The words of `isoseam results`.

namespace isoseam {

class Command;
struct CommandContext;

// Adds the command and all below it to the program.
void add_results_command(Command& app, CommandContext& context);

// Each adds its part to `isoseam results`.
void add_export_command(Command& results, CommandContext& context);

}  // namespace isoseam
