#include "runner/commands/screen_choice.h"

#include <fmt/format.h>

#include <regex>

#include "base/errors.h"
#include "runner/commands/command_words.h"

namespace isoseam {

void ScreenChoice::add_to(Command* command) {
    command->add_option("--window", window, "show in a window of WIDTHxHEIGHT pixels, to try out");
    command->add_option("--screen", screens, "number of the screen, from 0; once per source for two screens")
        ->allow_extra_args(false);
}

std::vector<int> ScreenChoice::screen_of_source(std::size_t sources) const {
    if (screens.size() > 1 && screens.size() != sources) {
        throw InputError(Fault{"", 0, 0, "--screen",
                               fmt::format("{} screens for {} source(s)", screens.size(), sources),
                               "give one for all sources, or one per source in the order of the rig"});
    }
    return screens.size() > 1 ? screens : std::vector<int>(sources, screens.empty() ? 0 : screens.front());
}

std::pair<int, int> parse_window_size(const std::string& text) {
    static const std::regex form("([1-9][0-9]{1,4})x([1-9][0-9]{1,4})");
    std::smatch parts;
    if (!std::regex_match(text, parts, form)) {
        throw InputError(Fault{"", 0, 0, "--window", fmt::format("'{}' is not a size", text),
                               "write width x height in pixels, e.g. --window 1024x768"});
    }
    return {std::stoi(parts[1]), std::stoi(parts[2])};
}

}  // namespace isoseam
