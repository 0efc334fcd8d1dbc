#pragma once
// The words of `isoseam analyse`.

namespace isoseam {

class Command;
struct CommandContext;

// Adds the command and all below it to the program.
void add_analyse_command(Command& app, CommandContext& context);

// Each adds its part to `isoseam analyse`.
void add_analyse_matches_command(Command& analyse, CommandContext& context);
void add_analyse_thresholds_command(Command& analyse, CommandContext& context);
void add_analyse_flicker_command(Command& analyse, CommandContext& context);
void add_analyse_report_command(Command& analyse, CommandContext& context);

}  // namespace isoseam
