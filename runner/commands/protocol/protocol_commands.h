#pragma once
// The words of `isoseam protocol`.

namespace CLI {
class App;
}

namespace isoseam {

struct CommandContext;

// Adds the command and all below it to the program.
void add_protocol_command(CLI::App& app, CommandContext& context);

}  // namespace isoseam
