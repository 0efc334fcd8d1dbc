// isoseam analyse: what settings come to.

#include <fmt/format.h>

#include <algorithm>
#include <memory>

#include "analysis/match_summary.h"
#include "runner/analyse_thresholds_command.h"
#include "runner/command_line.h"

namespace isoseam {
namespace {

// Status 1 when any folder had to be left out: then the numbers rest on less than was asked for.
ExitStatus matches(const std::vector<std::string>& paths, bool json) {
    std::vector<SessionFolder> folders;
    for (const std::string& path : paths)
        folders.push_back(read_session_folder(path));
    const MatchSummary summary = summarise_matches(folders);
    if (json)
        print_json(to_json(summary));
    else
        fmt::print("{}", match_summary_text(summary));
    const bool all_used = std::all_of(summary.folders.begin(), summary.folders.end(),
                                      [](const FolderUse& use) { return use.left_out_because.empty(); });
    return all_used ? ExitStatus::done : ExitStatus::answer_is_no;
}

}  // namespace

void add_analyse_command(CLI::App& app, CommandContext& context) {
    CLI::App* analyse = app.add_subcommand("analyse", "what settings and answers come to");
    analyse->require_subcommand(1);
    CLI::App* command = analyse->add_subcommand(
        "matches", "per condition: mean setting, its SD, distance from the predicted match");
    auto folders = std::make_shared<std::vector<std::string>>();
    command->add_option("folder", *folders, "session folders")->required();
    command->footer("Ends with status 1 when a folder had to be left out; the text says which and why.");
    finish_command(command, context, [folders, &context] { return matches(*folders, context.json); });
    add_analyse_thresholds_command(analyse, context);
}

}  // namespace isoseam
