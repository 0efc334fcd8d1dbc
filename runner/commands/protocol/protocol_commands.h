#pragma once
// The words of `isoseam protocol`.

namespace isoseam {

class Command;
struct CommandContext;

// Adds the command and all below it to the program.
void add_protocol_command(Command& app, CommandContext& context);

}  // namespace isoseam
