// isoseam display: handles calibrations of screens. Each subcommand has a file of its own.

#include "runner/commands/command.h"
#include "runner/commands/display/display_commands.h"
#include "runner/commands/display/display_parts.h"

namespace isoseam {

void add_display_command(Command& app, CommandContext& context) {
    Command* display = app.add_subcommand("display", "calibrations of screens");
    display->require_subcommand(1);
    add_display_show_command(*display, context);
    add_display_estimate_command(*display, context);
    add_measure_command(*display, context);
    add_display_fit_command(*display, context);
    add_display_verify_command(*display, context);
    add_display_report_command(*display, context);
    add_display_export_command(*display, context);
}

}  // namespace isoseam
