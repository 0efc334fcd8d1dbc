// isoseam results: checks session folders, prints their settings as a table, or exports them. Folders are
// read on several threads, and printed in the order given.

#include <fmt/format.h>

#include <memory>
#include <nlohmann/json.hpp>
#include <optional>

#include "base/ordered_work.h"
#include "results_schema/records_table.h"
#include "results_schema/session_copies.h"
#include "results_schema/session_folder.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/command.h"
#include "runner/commands/json_values.h"
#include "runner/commands/row_output.h"

namespace isoseam {
namespace {

nlohmann::json folder_json(const SessionFolder& folder) {
    return {{"folder", folder.folder},
            {"state", to_string(folder.state)},
            {"settings", folder.settings.size()},
            {"answers", folder.answers.size()},
            {"planned_settings",
             folder.header_ok ? nlohmann::json(folder.header.planned_settings) : nlohmann::json()},
            {"events", folder.event_count},
            {"torn_bytes", folder.torn_bytes},
            {"faults", folder.faults}};
}

std::string folder_line(const SessionFolder& folder) {
    std::string line =
        fmt::format("{}: {}, {} setting(s)", folder.folder, to_string(folder.state), folder.settings.size());
    if (!folder.answers.empty())
        line += fmt::format(" and {} answer(s)", folder.answers.size());
    if (folder.header_ok)
        line +=
            fmt::format(" of {}{}", folder.answers.empty() ? "" : "about ", folder.header.planned_settings);
    if (folder.torn_bytes > 0)
        line += fmt::format(", {} bytes of an unfinished last line set aside", folder.torn_bytes);
    return line + "\n";
}

// What is printed for one folder. Its records are let go before the next folder has its turn.
struct FolderText {
    std::string text;
    std::vector<Fault> faults;
    SessionIdentity identity;
};

// A folder that has gone when its turn comes is listed like a damaged one, because the rows of others are
// printed already.
SessionFolder read_for_rows(const std::string& path) {
    try {
        return read_session_folder(path, ReadFor::records);
    } catch (const InputError& error) {
        SessionFolder gone;
        gone.folder = path;
        gone.faults = error.faults();
        return gone;
    }
}

ExitStatus check(const std::vector<std::string>& folders, bool json) {
    require_session_folders(folders);
    std::optional<JsonList> list;
    if (json)
        list.emplace("sessions");
    bool damaged = false;
    in_order(
        folders.size(),
        [&](std::size_t i) {
            const SessionFolder folder = read_for_rows(folders[i]);
            FolderText part{{}, folder.faults, {}};
            if (json)
                JsonList::append(part.text, folder_json(folder));
            else
                part.text = folder_line(folder);
            return part;
        },
        [&](FolderText&& part) {
            damaged = damaged || !part.faults.empty();
            if (list)
                list->add(part.text);
            else
                print_text(part.text);
            if (!json)
                tell_faults(part.faults);
        });
    if (list)
        list->end();
    finish_text();
    return damaged ? ExitStatus::answer_is_no : ExitStatus::done;
}

template <class Record>
void append_rows(std::string& rows, const SessionHeader& header, const char* name,
                 const std::vector<Record>& records) {
    for (const Record& record : records)
        JsonList::append(rows, {{"session", header.session},
                                {"participant", header.participant},
                                {"kind", header.kind},
                                {name, to_json(record)}});
}

// The words as the command line gives them. The parser writes into them, so the command keeps them all.
struct TableWords {
    std::vector<std::string> folders;
    std::string of = "settings";
    std::string format = "csv";  // the only format
};

struct TableWish {
    bool answers = false;  // print answers instead of settings
    bool json = false;
};

FolderText rows_of(const std::string& path, TableWish wish) {
    const SessionFolder folder = read_for_rows(path);
    FolderText part{{}, folder.faults, identity_of(folder)};
    if (!wish.json)
        part.text = wish.answers ? answers_table_rows(folder) : settings_table_rows(folder);
    else if (wish.answers)
        append_rows(part.text, folder.header, "answer", folder.answers);
    else
        append_rows(part.text, folder.header, "setting", folder.settings);
    return part;
}

// Of a damaged folder, the rows before the damage are printed; the damage is told, and the status says no. A
// session that is given twice is told too, with the same status, and its rows are printed once.
ExitStatus table(const std::vector<std::string>& folders, TableWish wish) {
    require_session_folders(folders);
    std::optional<JsonList> list;
    if (wish.json)
        list.emplace(wish.answers ? "answers" : "settings");
    else
        print_text(wish.answers ? answers_table_header() : settings_table_header());
    SessionCopies copies;
    bool whole = true;
    in_order(
        folders.size(), [&](std::size_t i) { return rows_of(folders[i], wish); },
        [&](FolderText&& part) {
            const std::string copy = copies.why_left_out(part.identity);
            if (!copy.empty())
                tell(fmt::format("{}: {}", part.identity.folder, copy));
            else if (list)
                list->add(part.text);
            else
                print_text(part.text);
            tell_faults(part.faults);
            whole = whole && copy.empty() && part.faults.empty();
        });
    if (list)
        list->end();
    finish_text();
    return whole ? ExitStatus::done : ExitStatus::answer_is_no;
}

}  // namespace

void add_results_commands(Command& results) {
    Command* check_command =
        results.add_subcommand("check", "is everything there, unchanged and in form; in what state");
    auto check_folders = std::make_shared<std::vector<std::string>>();
    check_command->add_option("folder", *check_folders, "session folders")->required();
    check_command->footer(
        "States: complete; left early (all settings are there); interrupted (killed or power cut; all "
        "accepted settings are there);\n"
        "damaged (status 1).");
    finish_command(check_command, check_folders, check);

    Command* table_command = results.add_subcommand("table", "one row per setting, or per answer");
    auto words = std::make_shared<TableWords>();
    table_command->add_option("folder", words->folders, "session folders")->required();
    table_command->add_option("--format", words->format, "csv")->check(one_of({"csv"}));
    table_command->add_option("--of", words->of, "settings, or answers to the trials of tasks (settings)")
        ->check(one_of({"settings", "answers"}));
    finish_command(table_command, [words](bool json) {
        return table(words->folders, {words->of == "answers", json});
    });
}

}  // namespace isoseam
