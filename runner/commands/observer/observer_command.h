#pragma once
// The words of `isoseam observer`.

namespace CLI {
class App;
}

namespace isoseam {

struct CommandContext;

// Adds the command to the program.
void add_observer_command(CLI::App& app, CommandContext& context);

}  // namespace isoseam
