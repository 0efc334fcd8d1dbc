#include "runner/program.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdio>
#include <nlohmann/json.hpp>

#include "base/errors.h"
#include "base/version.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/command.h"
#include "runner/commands/json_values.h"

namespace isoseam {
namespace {

constexpr const char* kAbout =
    "Isoseam measures and teaches human colour matching: calibrated split fields, settings by observers, "
    "records that last.\n"
    "It never diagnoses: screening and diagnosis of colour vision belong to a qualified person with an "
    "approved instrument.";

// A word of the command line that only stands before other commands.
struct Family {
    const char* word;
    const char* about;
    std::vector<AddCommand*> commands;
};

// The list of commands. Help lists them in this order.
void add_commands(Command& program) {
    add_observer_command(program);
    add_light_command(program);
    const Family families[] = {
        {"display",
         "calibrations of screens",
         {add_display_show_command, add_display_estimate_command, add_measure_command,
          add_display_fit_command, add_display_verify_command, add_display_report_command,
          add_display_export_command}},
        {"protocol",
         "check a protocol, show its plan, look at its field, list the ready ones",
         {add_protocol_commands, add_protocol_preview_command}},
        {"session",
         "run a protocol with a participant, or rehearse it",
         {add_run_command, add_place_command, add_devices_command, add_rehearse_command, add_resume_command,
          add_session_show_command}},
        {"lecture",
         "show a lecture to a class that takes part by telephone",
         {add_lecture_run_command, add_lecture_check_commands, add_lecture_report_command}},
        {"results",
         "check session folders, print or export what they hold",
         {add_results_commands, add_export_command}},
        {"analyse",
         "what settings and answers come to",
         {add_analyse_matches_command, add_analyse_thresholds_command, add_analyse_flicker_command,
          add_analyse_report_command}}};
    for (const Family& family : families) {
        Command* above = program.add_subcommand(family.word, family.about);
        above->require_subcommand(1);
        for (AddCommand* add : family.commands)
            add(*above);
    }
}

std::vector<std::string> names_of(const std::vector<CLI::App*>& commands) {
    std::vector<std::string> names;
    for (const CLI::App* command : commands)
        names.push_back(command->get_name());
    return names;
}

// Tells of a word that stands in a command's place but is no command, and lists the commands that there are.
// Returns "" if that is not what is wrong.
std::string unknown_command(CLI::App& app, const std::vector<std::string>& words) {
    CLI::App* at = &app;
    for (const std::string& word : words) {
        const std::vector<CLI::App*> commands = at->get_subcommands([](const CLI::App*) { return true; });
        if (commands.empty() || word.starts_with("-"))
            return "";
        const std::vector<std::string> names = names_of(commands);
        const auto found = std::find(names.begin(), names.end(), word);
        if (found == names.end()) {
            const std::string near = nearest_word(word, names);
            return fmt::format("there is no command '{}'; {}", word,
                               near.empty() ? fmt::format("name one of: {}", fmt::join(names, ", "))
                                            : fmt::format("did you mean '{}'?", near));
        }
        at = commands[static_cast<std::size_t>(found - names.begin())];
    }
    return "";
}

// Reports wrong usage: what was found, and where help is.
int report_usage(CLI::App& app, const CLI::ParseError& error, const std::vector<std::string>& words) {
    if (error.get_exit_code() == 0)
        return app.exit(error);  // for --help and --version
    const std::string unknown = unknown_command(app, words);
    fmt::print(stderr,
               "isoseam: {}\nisoseam: 'isoseam --help' and 'isoseam COMMAND --help' list what there is\n",
               unknown.empty() ? error.what() : unknown);
    return static_cast<int>(ExitStatus::bad_input);
}

// Runs the command that was chosen. Every error ends here, and nowhere else.
ExitStatus run_chosen(const ChosenJob& job) {
    try {
        return job.run(job.json);
    } catch (const InputError& error) {
        tell_faults(error.faults());
        if (job.json)
            print_json({{"faults", error.faults()}});
        return ExitStatus::bad_input;
    } catch (const MachineError& error) {
        tell(error.what());
        if (job.json)
            print_json({{"machine_lacks", error.what()}});
        return ExitStatus::machine_lacks;
    }
}

}  // namespace

int run_command_line(int argc, const char* const* argv) {
    CLI::App app(kAbout, "isoseam");
    app.set_version_flag("--version", std::string("isoseam ") + kProgramVersion);
    app.require_subcommand(1);
    Command program(app);
    add_commands(program);
    try {
        app.parse(argc, argv);
    } catch (const CLI::ParseError& error) {
        return report_usage(app, error, {argv + std::min(argc, 1), argv + argc});
    }
    try {
        return static_cast<int>(run_chosen(program.job()));
    } catch (const std::exception& error) {
        fmt::print(stderr, "isoseam: a fault of the program itself: {}\n", error.what());
        return 70;
    }
}

}  // namespace isoseam
