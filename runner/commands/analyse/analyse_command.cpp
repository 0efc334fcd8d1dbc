// isoseam analyse: tells what settings and answers come to.

#include "runner/commands/analyse/analyse_commands.h"
#include "runner/commands/command.h"

namespace isoseam {

void add_analyse_command(Command& app, CommandContext& context) {
    Command* analyse = app.add_subcommand("analyse", "what settings and answers come to");
    analyse->require_subcommand(1);
    add_analyse_matches_command(*analyse, context);
    add_analyse_thresholds_command(*analyse, context);
    add_analyse_flicker_command(*analyse, context);
    add_analyse_report_command(*analyse, context);
}

}  // namespace isoseam
