#pragma once
// The words of one command: its options, what they fill in, and the commands below it. This header keeps the
// large headers of the library that reads the command line (CLI11) out of every source that names an option.
//
//     Command* fit = display.add_subcommand("fit", "a calibration file from a table of readings");
//     fit->add_option("--out", options->out, "the file to write")->required();
//     fit->add_option("--bits", options->bits, "of the frame buffer (8)")->check(one_of({8, 10}));

#include <deque>
#include <functional>
#include <initializer_list>
#include <memory>
#include <string>
#include <vector>

namespace CLI {
class App;
class Option;
}  // namespace CLI

namespace isoseam {

// What the value of an option must be. Any other value is wrong usage, and the message says what would be
// accepted.
struct OptionRule {
    std::function<void(CLI::Option&)> add_to;
};
OptionRule within(int least, int most);
OptionRule within(double least, double most);
OptionRule one_of(std::initializer_list<const char*> words);
OptionRule one_of(std::initializer_list<int> numbers);
// For options that are 64-bit whole numbers of 0 or more. A number that does not fit is refused and never
// wrapped around.
OptionRule whole_number();

class CommandOption {
  public:
    explicit CommandOption(CLI::Option& option) : option_(&option) {}
    CommandOption* required();
    CommandOption* check(const OptionRule& rule);
    CommandOption* allow_extra_args(bool allowed);  // false: each time it is given it takes one value
    CommandOption* expected(int least, int most);   // how many values
    CommandOption* type_name(const std::string& name);
    CommandOption* capture_default_str();  // --help then shows the value that is set now
    std::string name() const;
    bool given() const;

  private:
    CLI::Option* option_;
};

enum class ExitStatus;

// What the program is asked to do. All commands of a program share it, and the one that is named sets `run`.
struct ChosenJob {
    using Run = std::function<ExitStatus(bool json)>;
    Run run;
    bool json = false;  // --json: one JSON object on standard output
};

class Command {
  public:
    explicit Command(CLI::App& app, std::shared_ptr<ChosenJob> job = std::make_shared<ChosenJob>())
        : app_(&app), job_(std::move(job)) {}
    Command(const Command&) = delete;
    Command& operator=(const Command&) = delete;

    // The command that is returned lives as long as this one.
    Command* add_subcommand(const std::string& name, const std::string& about);
    // Options that --help lists under a heading of their own.
    Command* add_option_group(const std::string& heading);
    // `value` must outlive the reading of the command line. Options whose names have no dashes are given by
    // their place. T is one of the types that command_words.cpp lists.
    template <class T>
    CommandOption* add_option(const std::string& names, T& value, const std::string& about = "");
    CommandOption* add_option_function(const std::string& names,
                                       const std::function<void(const std::string&)>& take,
                                       const std::string& about);
    CommandOption* add_flag(const std::string& names, bool& value, const std::string& about);

    ChosenJob& job() { return *job_; }

    Command* footer(const std::string& text);
    Command* require_subcommand(int count);
    Command* callback(const std::function<void()>& named);  // runs when the command is named
    std::size_t count(const std::string& option) const;     // how often this option was given
    std::vector<const CommandOption*> options() const;      // the options that were added to this command

  private:
    CommandOption* kept(CLI::Option* option);

    CLI::App* app_;
    std::shared_ptr<ChosenJob> job_;
    std::deque<CommandOption> options_;
    std::deque<Command> commands_;
};

}  // namespace isoseam
