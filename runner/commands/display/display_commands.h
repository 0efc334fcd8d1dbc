#pragma once
// The words of `isoseam display`.

namespace isoseam {

class Command;
struct CommandContext;

// Adds the command and all below it to the program.
void add_display_command(Command& app, CommandContext& context);

// Each adds its part to `isoseam display`.
void add_display_estimate_command(Command& display, CommandContext& context);
void add_display_fit_command(Command& display, CommandContext& context);
void add_display_verify_command(Command& display, CommandContext& context);
void add_display_show_command(Command& display, CommandContext& context);
void add_display_export_command(Command& display, CommandContext& context);
void add_display_report_command(Command& display, CommandContext& context);
void add_measure_command(Command& display, CommandContext& context);

}  // namespace isoseam
