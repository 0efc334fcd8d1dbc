#pragma once
// The words of `isoseam light`.

namespace isoseam {

class Command;
struct CommandContext;

// Adds the command and all below it to the program.
void add_light_command(Command& app, CommandContext& context);

}  // namespace isoseam
