#pragma once
// What all commands share: how a command is chosen, what it prints, and with which status the program ends.
//
//     CLI::App* command = app.add_subcommand("show", "what the file says");
//     finish_command(command, context, [&context] { return show(context.json); });

#include <functional>
#include <nlohmann/json_fwd.hpp>
#include <string>

#include "runner/commands/command_words.h"

namespace isoseam {

enum class ExitStatus {
    done = 0,
    answer_is_no = 1,   // the job ran, and its answer is no
    bad_input = 2,      // wrong usage or a bad file
    machine_lacks = 3,  // the machine lacks a screen, a device or space
    interrupted = 130,
};

// What the commands share.
struct CommandContext {
    bool json = false;                   // --json: one JSON object on standard output
    std::function<ExitStatus()> chosen;  // set by the subcommand that was named
    std::string program;                 // the path of this program
};

// Prints one line on standard error.
void tell(const std::string& message);

// Adds --json to a command and makes `run` the program's job when the command is named.
void finish_command(Command* command, CommandContext& context, std::function<ExitStatus()> run);

// Adds --force, for commands that write files.
void add_force_option(Command* command, bool& force);

// Prints a JSON object, indented by two blanks, with numbers in the shortest form that reads back as the
// same.
void print_json(const nlohmann::json& json);

}  // namespace isoseam
