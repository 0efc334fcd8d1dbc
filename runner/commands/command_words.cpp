#include "runner/commands/command_words.h"

#include <CLI/CLI.hpp>
#include <charconv>
#include <cstdint>
#include <optional>
#include <utility>

namespace isoseam {

OptionRule within(int least, int most) {
    return {[=](CLI::Option& option) { option.check(CLI::Range(least, most)); }};
}

OptionRule within(double least, double most) {
    return {[=](CLI::Option& option) { option.check(CLI::Range(least, most)); }};
}

OptionRule one_of(std::initializer_list<const char*> words) {
    return {[words = std::vector<std::string>(words.begin(), words.end())](CLI::Option& option) {
        option.check(CLI::IsMember(words));
    }};
}

OptionRule one_of(std::initializer_list<int> numbers) {
    return {
        [numbers = std::vector<int>(numbers)](CLI::Option& option) { option.check(CLI::IsMember(numbers)); }};
}

OptionRule whole_number() {
    const auto fault = [](std::string& text) {
        std::uint64_t value = 0;
        const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
        return error == std::errc() && end == text.data() + text.size()
                   ? std::string()
                   : text + " is no whole number from 0 to 18446744073709551615";
    };
    return {[fault](CLI::Option& option) { option.check(CLI::Validator(fault, "NUMBER")); }};
}

CommandOption* CommandOption::required() {
    option_->required();
    return this;
}

CommandOption* CommandOption::check(const OptionRule& rule) {
    rule.add_to(*option_);
    return this;
}

CommandOption* CommandOption::allow_extra_args(bool allowed) {
    option_->allow_extra_args(allowed);
    return this;
}

CommandOption* CommandOption::expected(int least, int most) {
    option_->expected(least, most);
    return this;
}

CommandOption* CommandOption::type_name(const std::string& name) {
    option_->type_name(name);
    return this;
}

CommandOption* CommandOption::capture_default_str() {
    option_->capture_default_str();
    return this;
}

std::string CommandOption::name() const {
    return option_->get_name();
}

bool CommandOption::given() const {
    return option_->count() > 0;
}

CommandOption* Command::kept(CLI::Option* option) {
    return &options_.emplace_back(*option);
}

Command* Command::add_subcommand(const std::string& name, const std::string& about) {
    return &commands_.emplace_back(*app_->add_subcommand(name, about), job_);
}

Command* Command::add_option_group(const std::string& heading) {
    return &commands_.emplace_back(*app_->add_option_group(heading), job_);
}

template <class T>
CommandOption* Command::add_option(const std::string& names, T& value, const std::string& about) {
    return kept(app_->add_option(names, value, about));
}

// The types that options fill in.
#define ISOSEAM_OPTION_OF(...) \
    template CommandOption* Command::add_option(const std::string&, __VA_ARGS__&, const std::string&)
ISOSEAM_OPTION_OF(int);
ISOSEAM_OPTION_OF(double);
ISOSEAM_OPTION_OF(std::string);
ISOSEAM_OPTION_OF(std::uint64_t);
ISOSEAM_OPTION_OF(std::optional<int>);
ISOSEAM_OPTION_OF(std::optional<double>);
ISOSEAM_OPTION_OF(std::optional<std::string>);
ISOSEAM_OPTION_OF(std::optional<std::uint64_t>);
ISOSEAM_OPTION_OF(std::vector<int>);
ISOSEAM_OPTION_OF(std::vector<double>);
ISOSEAM_OPTION_OF(std::vector<std::string>);
#undef ISOSEAM_OPTION_OF

CommandOption* Command::add_option_function(const std::string& names,
                                            const std::function<void(const std::string&)>& take,
                                            const std::string& about) {
    return kept(app_->add_option_function<std::string>(names, take, about));
}

CommandOption* Command::add_flag(const std::string& names, bool& value, const std::string& about) {
    return kept(app_->add_flag(names, value, about));
}

Command* Command::footer(const std::string& text) {
    app_->footer(text);
    return this;
}

Command* Command::require_subcommand(int count) {
    app_->require_subcommand(count);
    return this;
}

Command* Command::callback(const std::function<void()>& named) {
    app_->callback(named);
    return this;
}

std::size_t Command::count(const std::string& option) const {
    return app_->count(option);
}

std::vector<const CommandOption*> Command::options() const {
    std::vector<const CommandOption*> all;
    for (const CommandOption& option : options_)
        all.push_back(&option);
    return all;
}

}  // namespace isoseam
