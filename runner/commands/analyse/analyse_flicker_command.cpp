
#include <fmt/format.h>

#include <memory>
#include <nlohmann/json.hpp>

#include "analysis/summaries/flicker_summary.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/analyse/analyse_parts.h"

namespace isoseam {
namespace {

ExitStatus flicker(const std::vector<std::string>& paths, bool json) {
    FlickerSummariser summariser;
    read_in_order(paths, ReadFor::records, [&](const SessionFolder& folder) { summariser.add(folder); });
    const FlickerSummary summary = summariser.finish();
    return print_summary(summary, flicker_summary_text(summary), json);
}

}  // namespace

void add_analyse_flicker_command(Command& analyse) {
    const auto folders = std::make_shared<std::vector<std::string>>();
    Command* command = add_folders_command(
        analyse, "flicker", "settings of least flicker: how L and M weigh in each participant's luminance",
        *folders);
    finish_command(command, folders, flicker);
}

}  // namespace isoseam
