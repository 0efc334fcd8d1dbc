#pragma once
// The words of `isoseam lecture`.

namespace CLI {
class App;
}

namespace isoseam {

struct CommandContext;

// Adds the command and all below it to the program.
void add_lecture_command(CLI::App& app, CommandContext& context);

// Each adds its part to `isoseam lecture`.
void add_lecture_run_command(CLI::App& lecture, CommandContext& context);
void add_lecture_check_commands(CLI::App& lecture, CommandContext& context);
void add_lecture_report_command(CLI::App& lecture, CommandContext& context);

}  // namespace isoseam
