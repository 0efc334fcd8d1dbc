#pragma once
// Where a command shows the sources of a rig: on one or two screens, or in a window to try out.

#include <cstddef>
#include <string>
#include <utility>
#include <vector>

namespace isoseam {

class Command;

struct ScreenChoice {
    std::string window;        // "1024x768"; "": the full screen
    std::vector<int> screens;  // their numbers

    // Adds --window and --screen.
    void add_to(Command* command);
    // Returns the number of the screen for each source of the rig. InputError unless one was named for all
    // sources, one for each, or none.
    std::vector<int> screen_of_source(std::size_t sources) const;
};

// Reads a size such as "1024x768". The InputError has --window as key.
std::pair<int, int> parse_window_size(const std::string& text);

}  // namespace isoseam
