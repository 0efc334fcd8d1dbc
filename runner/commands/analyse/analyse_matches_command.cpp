
#include <fmt/format.h>

#include <memory>
#include <nlohmann/json.hpp>

#include "analysis/summaries/match_summary.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/analyse/analyse_parts.h"
#include "runner/commands/observer_options.h"

namespace isoseam {
namespace {

struct Words {
    std::vector<std::string> folders;
    bool full = false;
    bool other_eye = false;
    ObserverOptions observer;
    Command* eye_options = nullptr;  // tells which options were given
};

MatchOptions options_of(const Words& words) {
    MatchOptions options;
    if (words.other_eye) {
        options.eye = Observer(words.observer.parameters());
    } else {
        for (const CommandOption* option : words.eye_options->options()) {
            if (option->given())
                throw InputError(
                    Fault{"", 0, 0, option->name(), "given without --other-eye",
                          "add --other-eye to compute everything anew for that eye, or leave it out"});
        }
    }
    return options;
}

ExitStatus matches(const Words& words, bool json) {
    MatchSummariser summariser(options_of(words));
    in_order(
        words.folders.size(),
        [&](std::size_t i) {
            return summariser.kept(read_session_folder(words.folders[i], ReadFor::records));
        },
        [&](KeptSession&& session) { summariser.add(std::move(session)); });
    const MatchSummary summary = summariser.finish();
    return print_summary(summary, match_summary_text(summary, words.full), json);
}

}  // namespace

void add_analyse_matches_command(Command& analyse) {
    const auto words = std::make_shared<Words>();
    Command* command = add_folders_command(
        analyse, "matches", "settings: means, scatter, distance from the predicted match, drift, who differs",
        words->folders);
    command->add_flag(
        "--full", words->full,
        "more tables: ellipses in x, y, in u', v' and in cone contrasts, too; --json always has all");
    command->add_flag("--other-eye", words->other_eye,
                      "compute excitations, contrasts and predicted matches anew, for the eye of the options "
                      "below (if none is given: 2 degrees, 32 years)");
    words->eye_options = command->add_option_group("Eye, with --other-eye");
    words->observer.add_to(words->eye_options);
    finish_command(command, words, matches);
}

}  // namespace isoseam
