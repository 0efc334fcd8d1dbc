#pragma once
// What the commands of isoseam analyse share: the session folders that they take, and how they end.

#include <fmt/format.h>

#include <algorithm>
#include <string>
#include <vector>

#include "analysis/summaries/folder_use.h"
#include "base/ordered_work.h"
#include "runner/commands/command.h"

namespace isoseam {

// Adds a command that takes session folders.
inline Command* add_folders_command(Command& analyse, const std::string& name, const std::string& about,
                                    std::vector<std::string>& folders) {
    Command* command = analyse.add_subcommand(name, about);
    command->add_option("folder", folders, "session folders")->required();
    return command->footer(
        "Ends with status 1 when a folder had to be left out; the text says which and why.");
}

// Reads the folders on several threads, and gives each to `take`, in the order given.
template <class Take>
void read_in_order(const std::vector<std::string>& folders, ReadFor wanted, const Take& take) {
    in_order(
        folders.size(), [&](std::size_t i) { return read_session_folder(folders[i], wanted); }, take);
}

// The status is 1 when any folder had to be left out, because the numbers then rest on less than was asked
// for.
inline ExitStatus status_of(const std::vector<FolderUse>& folders) {
    return std::ranges::all_of(folders, [](const FolderUse& use) { return use.left_out_because.empty(); })
               ? ExitStatus::done
               : ExitStatus::answer_is_no;
}

template <class Summary>
ExitStatus print_summary(const Summary& summary, const std::string& text, bool json) {
    json ? print_json(to_json(summary)) : fmt::print("{}", text);
    return status_of(summary.folders);
}

}  // namespace isoseam
