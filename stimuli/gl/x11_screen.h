#pragma once
// What the X server does between the frame buffer and the panel. Nothing is known of other systems (Wayland,
// the bare console): they give nullopt. Xlib's macros stay inside the source file.

#include <optional>
#include <string>
#include <vector>

struct SDL_Window;

namespace isoseam {

// What changes codes between the frame buffer and the panels of the monitors that the window lies on.
// `changing` are the colour tables that do so; `assigned` is what only may do so, a colour profile that other
// programs follow. Each has one line.
struct ColourTables {
    std::vector<std::string> changing;
    std::vector<std::string> assigned;
};
std::optional<ColourTables> x11_colour_tables(SDL_Window* window);

// "the screen saver is on" or "the screen is asleep"; "" when neither is so.
std::optional<std::string> x11_screen_asleep(SDL_Window* window);

}  // namespace isoseam
