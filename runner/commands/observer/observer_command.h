#pragma once
// The words of `isoseam observer`.

namespace isoseam {

class Command;
struct CommandContext;

// Adds the command to the program.
void add_observer_command(Command& app, CommandContext& context);

}  // namespace isoseam
