#pragma once
// The words of `isoseam light`.

namespace CLI {
class App;
}

namespace isoseam {

struct CommandContext;

// Adds the command and all below it to the program.
void add_light_command(CLI::App& app, CommandContext& context);

}  // namespace isoseam
