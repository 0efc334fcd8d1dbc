// isoseam lecture: gives a lecture in which a class takes part.

#include "runner/commands/command.h"
#include "runner/commands/lecture/lecture_commands.h"

namespace isoseam {

void add_lecture_command(Command& app, CommandContext& context) {
    Command* lecture =
        app.add_subcommand("lecture", "show a lecture to a class that takes part by telephone");
    lecture->require_subcommand(1);
    add_lecture_run_command(*lecture, context);
    add_lecture_check_commands(*lecture, context);
    add_lecture_report_command(*lecture, context);
}

}  // namespace isoseam
