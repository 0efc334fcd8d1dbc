#pragma once
// The words of `isoseam display`.

namespace CLI {
class App;
}

namespace isoseam {

struct CommandContext;

// Adds the command and all below it to the program.
void add_display_command(CLI::App& app, CommandContext& context);

// Each adds its part to `isoseam display`.
void add_display_estimate_command(CLI::App& display, CommandContext& context);
void add_display_fit_command(CLI::App& display, CommandContext& context);
void add_display_verify_command(CLI::App& display, CommandContext& context);
void add_display_show_command(CLI::App& display, CommandContext& context);
void add_display_export_command(CLI::App& display, CommandContext& context);
void add_display_report_command(CLI::App& display, CommandContext& context);
void add_measure_command(CLI::App& display, CommandContext& context);

}  // namespace isoseam
