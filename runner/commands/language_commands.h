#pragma once
// What the commands for protocols and for lectures share: both have a language, ready files, and pictures of
// their fields.

#include <fmt/format.h>

#include <string>
#include <string_view>
#include <vector>

#include "runner/commands/command.h"
#include "runner/commands/json_values.h"
#include "runner/commands/output_option.h"

namespace isoseam {

// Prints the name and the title of each ready file. `kind` is "protocols" or "lectures".
template <class Ready>
ExitStatus list_ready(const std::vector<Ready>& ready, const std::string& kind, int width, bool json) {
    if (json) {
        print_json(
            {{kind, json_list(ready, [](const Ready& file) {
                  return nlohmann::json{{"name", file.name}, {"title", file.title}, {"path", file.path}};
              })}});
        return ExitStatus::done;
    }
    for (const Ready& file : ready)
        fmt::print("{:<{}} {}\n", file.name, width, file.title);
    return ExitStatus::done;
}

// Adds the commands `schema` and `list`.
template <class Ready>
void add_language_commands(Command& above, const std::string& kind, std::string_view (*schema)(),
                           std::vector<Ready> (*ready)(), int width) {
    Command* schema_command = above.add_subcommand(
        "schema", "the language as a JSON Schema (2020-12), for editors that complete and check YAML");
    finish_command(schema_command, [schema](bool) {
        fmt::print("{}", schema());
        return ExitStatus::done;
    });
    Command* list_command =
        above.add_subcommand("list", fmt::format("ready {} that come with the program", kind));
    finish_command(list_command, [=](bool json) { return list_ready(ready(), kind, width, json); });
}

// Says what is wrong with a file, and whether that is anything. What is printed otherwise is left to the caller.
template <class Report>
bool tell_faulty(const Report& report) {
    tell_faults(report.faults);
    if (!report.faults.empty())
        fmt::print("{} fault(s)\n", report.faults.size());
    return !report.faults.empty();
}

inline void print_cautions(const std::vector<std::string>& cautions) {
    for (const std::string& caution : cautions)
        fmt::print("\nNote: {}\n", caution);
}

// Says where a picture was written.
inline ExitStatus print_picture(const OutputOption& picture, bool json) {
    json ? print_json({{"picture", picture.path}}) : fmt::print("{}\n", picture.path);
    return ExitStatus::done;
}

}  // namespace isoseam
