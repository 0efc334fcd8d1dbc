#pragma once
// What else draws on, or changes, the screens of an X server. Nothing is known of other systems: they give
// nullopt. Xlib's macros stay inside the source file.

#include <optional>
#include <string>
#include <vector>

struct SDL_Window;

namespace isoseam {

// The monitors that the window lies on, as they are set now: "DP-1: 1920 x 1080 pixels at 59.95 Hz". A
// monitor that was unplugged or switched off is not among them.
std::optional<std::vector<std::string>> x11_screen_modes(SDL_Window* window);

// Whether a compositing manager runs, by the owner of the selection _NET_WM_CM_Sn (Extended Window Manager
// Hints, an open standard). It may hold frames back by a refresh or two, also in full screen when it does not
// heed the request to stay out.
std::optional<bool> x11_compositing_manager(SDL_Window* window);

}  // namespace isoseam
