#pragma once
// The words of `isoseam lecture`.

namespace isoseam {

class Command;
struct CommandContext;

// Adds the command and all below it to the program.
void add_lecture_command(Command& app, CommandContext& context);

// Each adds its part to `isoseam lecture`.
void add_lecture_run_command(Command& lecture, CommandContext& context);
void add_lecture_check_commands(Command& lecture, CommandContext& context);
void add_lecture_report_command(Command& lecture, CommandContext& context);

}  // namespace isoseam
