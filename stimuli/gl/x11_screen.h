#pragma once
// What the X server does between the frame buffer and the panel. Of other systems (Wayland, the bare console)
// nothing is known: nullopt. (Xlib's macros stay inside the source file.)

#include <optional>
#include <string>
#include <vector>

struct SDL_Window;

namespace isoseam {

// Of the monitors that the window lies on: colour tables that change codes on their way to the panel
// (`changing`), and what only may do so (`assigned`: a colour profile that other programs follow). One line
// each.
struct ColourTables {
    std::vector<std::string> changing;
    std::vector<std::string> assigned;
};
std::optional<ColourTables> x11_colour_tables(SDL_Window* window);

// "the screen saver is on", "the screen is asleep"; "" when neither.
std::optional<std::string> x11_screen_asleep(SDL_Window* window);

}  // namespace isoseam
