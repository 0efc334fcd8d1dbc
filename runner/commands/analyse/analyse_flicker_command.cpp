
#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <nlohmann/json.hpp>

#include "analysis/summaries/flicker_summary.h"
#include "base/ordered_work.h"
#include "runner/commands/analyse/analyse_commands.h"
#include "runner/commands/command.h"

namespace isoseam {
namespace {

// The status is 1 when any folder had to be left out, because the numbers then rest on less than was asked
// for.
ExitStatus flicker(const std::vector<std::string>& paths, bool json) {
    FlickerSummariser summariser;
    in_order(
        paths.size(), [&](std::size_t i) { return read_session_folder(paths[i], ReadFor::records); },
        [&](const SessionFolder& folder) { summariser.add(folder); });
    const FlickerSummary summary = summariser.finish();
    if (json)
        print_json(to_json(summary));
    else
        fmt::print("{}", flicker_summary_text(summary));
    const bool all_used = std::all_of(summary.folders.begin(), summary.folders.end(),
                                      [](const FolderUse& use) { return use.left_out_because.empty(); });
    return all_used ? ExitStatus::done : ExitStatus::answer_is_no;
}

}  // namespace

void add_analyse_flicker_command(Command& analyse, CommandContext& context) {
    Command* command = analyse.add_subcommand(
        "flicker", "settings of least flicker: how L and M weigh in each participant's luminance");
    auto folders = std::make_shared<std::vector<std::string>>();
    command->add_option("folder", *folders, "session folders")->required();
    command->footer("Ends with status 1 when a folder had to be left out; the text says which and why.");
    finish_command(command, context, [folders, &context] { return flicker(*folders, context.json); });
}

}  // namespace isoseam
