#pragma once
// The words of `isoseam analyse`.

namespace CLI {
class App;
}

namespace isoseam {

struct CommandContext;

// Adds the command and all below it to the program.
void add_analyse_command(CLI::App& app, CommandContext& context);

// Each adds its part to `isoseam analyse`.
void add_analyse_matches_command(CLI::App& analyse, CommandContext& context);
void add_analyse_thresholds_command(CLI::App& analyse, CommandContext& context);
void add_analyse_flicker_command(CLI::App& analyse, CommandContext& context);
void add_analyse_report_command(CLI::App& analyse, CommandContext& context);

}  // namespace isoseam
