#include "runner/program.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdio>
#include <nlohmann/json.hpp>

#include "base/errors.h"
#include "base/version.h"
#include "runner/commands/analyse/analyse_commands.h"
#include "runner/commands/command.h"
#include "runner/commands/display/display_commands.h"
#include "runner/commands/fault_json.h"
#include "runner/commands/lecture/lecture_commands.h"
#include "runner/commands/light/light_commands.h"
#include "runner/commands/observer/observer_command.h"
#include "runner/commands/protocol/protocol_commands.h"
#include "runner/commands/results/results_commands.h"
#include "runner/commands/session/session_commands.h"

namespace isoseam {
namespace {

constexpr const char* kAbout =
    "Isoseam measures and teaches human colour matching: calibrated split fields, settings by observers, "
    "records that last.\n"
    "It never diagnoses: screening and diagnosis of colour vision belong to a qualified person with an "
    "approved instrument.";

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
ExitStatus run_chosen(const CommandContext& context) {
    try {
        return context.chosen();
    } catch (const InputError& error) {
        for (const Fault& fault : error.faults())
            fmt::print(stderr, "isoseam: {}\n", to_string(fault));
        if (context.json) {
            nlohmann::json faults = nlohmann::json::array();
            for (const Fault& fault : error.faults())
                faults.push_back(fault_json(fault));
            print_json({{"faults", faults}});
        }
        return ExitStatus::bad_input;
    } catch (const MachineError& error) {
        fmt::print(stderr, "isoseam: {}\n", error.what());
        if (context.json)
            print_json({{"machine_lacks", error.what()}});
        return ExitStatus::machine_lacks;
    }
}

}  // namespace

int run_command_line(int argc, const char* const* argv) {
    CLI::App app(kAbout, "isoseam");
    app.set_version_flag("--version", std::string("isoseam ") + kProgramVersion);
    app.require_subcommand(1);
    CommandContext context;
    context.program = argc > 0 ? argv[0] : "isoseam";
    Command program(app);
    add_observer_command(program, context);
    add_light_command(program, context);
    add_display_command(program, context);
    add_protocol_command(program, context);
    add_session_command(program, context);
    add_lecture_command(program, context);
    add_results_command(program, context);
    add_analyse_command(program, context);
    try {
        app.parse(argc, argv);
    } catch (const CLI::ParseError& error) {
        return report_usage(app, error, {argv + std::min(argc, 1), argv + argc});
    }
    try {
        return static_cast<int>(run_chosen(context));
    } catch (const std::exception& error) {
        fmt::print(stderr, "isoseam: a fault of the program itself: {}\n", error.what());
        return 70;
    }
}

}  // namespace isoseam
