#include "runner/commands/command.h"

#include <fmt/format.h>

#include <cstdio>
#include <nlohmann/json.hpp>

namespace isoseam {

void finish_command(Command* command, ChosenJob::Run run) {
    ChosenJob& job = command->job();
    command->add_flag("--json", job.json, "print one JSON object; messages go to standard error");
    command->callback([&job, run = std::move(run)] { job.run = run; });
}

void tell(const std::string& message) {
    fmt::print(stderr, "isoseam: {}\n", message);
}

void tell_each(const std::string& before, const std::vector<std::string>& texts) {
    for (const std::string& text : texts)
        tell(before + text);
}

void print_json(const nlohmann::json& json) {
    // The JSON may quote what a damaged file holds, which need not be UTF-8.
    fmt::print("{}\n", json.dump(2, ' ', false, nlohmann::json::error_handler_t::replace));
}

void add_force_option(Command* command, bool& force) {
    command->add_flag("--force", force, "replace a file that exists, unless this command reads it");
}

}  // namespace isoseam
