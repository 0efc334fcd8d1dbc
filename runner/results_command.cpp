// isoseam results: check session folders, or print their settings as a table.

#include <fmt/format.h>

#include <memory>

#include "results_schema/session_folder.h"
#include "runner/command_line.h"

namespace isoseam {
namespace {

nlohmann::json folder_json(const SessionFolder& folder) {
    nlohmann::json faults = nlohmann::json::array();
    for (const Fault& fault : folder.faults)
        faults.push_back(
            {{"file", fault.file}, {"line", fault.line}, {"found", fault.found}, {"remedy", fault.remedy}});
    return {{"folder", folder.folder},
            {"state", to_string(folder.state)},
            {"settings", folder.settings.size()},
            {"answers", folder.answers.size()},
            {"planned_settings",
             folder.header_ok ? nlohmann::json(folder.header.planned_settings) : nlohmann::json()},
            {"events", folder.events.size()},
            {"torn_bytes", folder.torn_bytes},
            {"faults", faults}};
}

void print_folder(const SessionFolder& folder) {
    fmt::print("{}: {}, {} setting(s)", folder.folder, to_string(folder.state), folder.settings.size());
    if (!folder.answers.empty())
        fmt::print(" and {} answer(s)", folder.answers.size());
    if (folder.header_ok)
        fmt::print(" of {}{}", folder.answers.empty() ? "" : "about ", folder.header.planned_settings);
    if (folder.torn_bytes > 0)
        fmt::print(", {} bytes of an unfinished last line set aside", folder.torn_bytes);
    fmt::print("\n");
    for (const Fault& fault : folder.faults)
        fmt::print(stderr, "isoseam: {}\n", to_string(fault));
}

ExitStatus check(const std::vector<std::string>& folders, bool json) {
    nlohmann::json all = nlohmann::json::array();
    bool damaged = false;
    for (const std::string& path : folders) {
        const SessionFolder folder = read_session_folder(path);
        damaged = damaged || folder.state == SessionState::damaged;
        if (json)
            all.push_back(folder_json(folder));
        else
            print_folder(folder);
    }
    if (json)
        print_json({{"sessions", all}});
    return damaged ? ExitStatus::answer_is_no : ExitStatus::done;
}

// A damaged folder's settings before the damage are printed; the damage is told, and the status says no.
template <class Record>
void add_rows(nlohmann::json& rows, const SessionHeader& header, const char* name,
              const std::vector<Record>& records) {
    for (const Record& record : records)
        rows.push_back({{"session", header.session},
                        {"participant", header.participant},
                        {"kind", header.kind},
                        {name, to_json(record)}});
}

ExitStatus table(const std::vector<std::string>& folders, bool answers, bool json) {
    nlohmann::json rows = nlohmann::json::array();
    bool damaged = false;
    if (!json)
        fmt::print("{}", answers ? answers_table_header() : settings_table_header());
    for (const std::string& path : folders) {
        const SessionFolder folder = read_session_folder(path);
        for (const Fault& fault : folder.faults)
            fmt::print(stderr, "isoseam: {}\n", to_string(fault));
        damaged = damaged || folder.state == SessionState::damaged;
        if (!json) {
            fmt::print("{}", answers ? answers_table_rows(folder) : settings_table_rows(folder));
        } else if (answers) {
            add_rows(rows, folder.header, "answer", folder.answers);
        } else {
            add_rows(rows, folder.header, "setting", folder.settings);
        }
    }
    if (json)
        print_json({{answers ? "answers" : "settings", rows}});
    return damaged ? ExitStatus::answer_is_no : ExitStatus::done;
}

}  // namespace

void add_results_command(CLI::App& app, CommandContext& context) {
    CLI::App* results = app.add_subcommand("results", "check session folders, or print their settings");
    results->require_subcommand(1);

    CLI::App* check_command =
        results->add_subcommand("check", "is everything there, unchanged and in form; in what state");
    auto check_folders = std::make_shared<std::vector<std::string>>();
    check_command->add_option("folder", *check_folders, "session folders")->required();
    check_command->footer(
        "States: complete; left early (all settings are there); interrupted (killed or power cut; all "
        "accepted settings are there);\n"
        "damaged (status 1).");
    finish_command(check_command, context,
                   [check_folders, &context] { return check(*check_folders, context.json); });

    CLI::App* table_command = results->add_subcommand("table", "one row per setting, or per answer");
    auto table_folders = std::make_shared<std::vector<std::string>>();
    auto format = std::make_shared<std::string>("csv");
    table_command->add_option("folder", *table_folders, "session folders")->required();
    table_command->add_option("--format", *format, "csv")->check(CLI::IsMember({"csv"}));
    auto of = std::make_shared<std::string>("settings");
    table_command->add_option("--of", *of, "settings, or answers to the trials of tasks (settings)")
        ->check(CLI::IsMember({"settings", "answers"}));
    finish_command(table_command, context, [table_folders, of, &context] {
        return table(*table_folders, *of == "answers", context.json);
    });
}

}  // namespace isoseam
