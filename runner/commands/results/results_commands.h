#pragma once
// The words of `isoseam results`.

namespace CLI {
class App;
}

namespace isoseam {

struct CommandContext;

// Adds the command and all below it to the program.
void add_results_command(CLI::App& app, CommandContext& context);

// Each adds its part to `isoseam results`.
void add_export_command(CLI::App& results, CommandContext& context);

}  // namespace isoseam
