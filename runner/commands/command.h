#pragma once
// What all commands share: how a command is chosen, what it prints, and with which status the program ends.
//
//     ExitStatus show(const Options& options, bool json);
//
//     Command* command = display.add_subcommand("show", "what the file says");
//     const auto options = std::make_shared<Options>();
//     command->add_option("file", options->file, "calibration file")->required();
//     finish_command(command, options, show);

#include <memory>
#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

#include "base/errors.h"
#include "runner/commands/command_words.h"

namespace isoseam {

enum class ExitStatus {
    done = 0,
    answer_is_no = 1,   // the job ran, and its answer is no
    bad_input = 2,      // wrong usage or a bad file
    machine_lacks = 3,  // the machine lacks a screen, a device or space
    interrupted = 130,
};

// Prints one line on standard error.
void tell(const std::string& message);
// Prints one such line for each of the texts, with `before` in front of it.
void tell_each(const std::string& before, const std::vector<std::string>& texts);

// Prints each fault on a line of its own on standard error.
template <class Faults>
void tell_faults(const Faults& faults) {
    for (const Fault& fault : faults)
        tell(to_string(fault));
}

// Adds --json to a command and makes `run` the program's job when the command is named.
void finish_command(Command* command, ChosenJob::Run run);
template <class Options>
void finish_command(Command* command, const std::shared_ptr<Options>& options,
                    ExitStatus (*run)(const Options&, bool json)) {
    finish_command(command, [options, run](bool json) { return run(*options, json); });
}

// Adds --force, for commands that write files.
void add_force_option(Command* command, bool& force);

// Prints a JSON object, indented by two blanks, with numbers in the shortest form that reads back as the
// same.
void print_json(const nlohmann::json& json);

}  // namespace isoseam
