#pragma once
// All commands of the program. The room runner/commands/WORD defines what stands below `isoseam WORD`, and
// runner/program.cpp lists all of them.

namespace isoseam {

class Command;

// Adds a command, with its options, to the command that it stands below.
using AddCommand = void(Command& above);

AddCommand add_observer_command;
AddCommand add_light_command;

AddCommand add_display_show_command, add_display_estimate_command, add_measure_command,
    add_display_fit_command, add_display_verify_command, add_display_report_command,
    add_display_export_command;

AddCommand add_protocol_commands, add_protocol_preview_command;

AddCommand add_run_command, add_place_command, add_devices_command, add_rehearse_command, add_resume_command,
    add_session_show_command;

AddCommand add_lecture_run_command, add_lecture_check_commands, add_lecture_report_command;

AddCommand add_results_commands, add_export_command;

AddCommand add_analyse_matches_command, add_analyse_thresholds_command, add_analyse_flicker_command,
    add_analyse_report_command;

}  // namespace isoseam
