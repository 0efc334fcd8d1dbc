#pragma once
// The words of `isoseam session`.

namespace isoseam {

class Command;
struct CommandContext;

// Adds the command and all below it to the program.
void add_session_command(Command& app, CommandContext& context);

// Each adds its part to `isoseam session`.
void add_rehearse_command(Command& session, CommandContext& context);
void add_resume_commands(Command& session, CommandContext& context);
void add_place_command(Command& session, CommandContext& context);
void add_devices_command(Command& session, CommandContext& context);

}  // namespace isoseam
