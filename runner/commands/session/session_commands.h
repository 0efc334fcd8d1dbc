#pragma once
// The words of `isoseam session`.

namespace CLI {
class App;
}

namespace isoseam {

struct CommandContext;

// Adds the command and all below it to the program.
void add_session_command(CLI::App& app, CommandContext& context);

// Each adds its part to `isoseam session`.
void add_rehearse_command(CLI::App& session, CommandContext& context);
void add_resume_commands(CLI::App& session, CommandContext& context);
void add_place_command(CLI::App& session, CommandContext& context);
void add_devices_command(CLI::App& session, CommandContext& context);

}  // namespace isoseam
