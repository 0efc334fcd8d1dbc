#include "runner/commands/command.h"

#include <fmt/format.h>

#include <charconv>
#include <cstdint>
#include <cstdio>
#include <nlohmann/json.hpp>

namespace isoseam {

void finish_command(CLI::App* command, CommandContext& context, std::function<ExitStatus()> run) {
    command->add_flag("--json", context.json, "print one JSON object; messages go to standard error");
    command->callback([&context, run = std::move(run)] { context.chosen = run; });
}

CLI::Validator whole_number() {
    return CLI::Validator(
        [](std::string& text) {
            std::uint64_t value = 0;
            const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
            return error == std::errc() && end == text.data() + text.size()
                       ? std::string()
                       : text + " is no whole number from 0 to 18446744073709551615";
        },
        "NUMBER");
}

void tell(const std::string& message) {
    fmt::print(stderr, "isoseam: {}\n", message);
}

void print_json(const nlohmann::json& json) {
    // What a damaged file holds may be quoted, and need not be UTF-8.
    fmt::print("{}\n", json.dump(2, ' ', false, nlohmann::json::error_handler_t::replace));
}

void add_force_option(CLI::App* command, bool& force) {
    command->add_flag("--force", force, "replace a file that exists, unless this command reads it");
}

}  // namespace isoseam
