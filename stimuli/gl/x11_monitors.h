#pragma once

#include <SDL.h>
#include <SDL_syswm.h>
#include <X11/Xlib.h>
#include <X11/extensions/Xrandr.h>

#include <memory>

// For the sources that ask the X server: Xlib's macros stay out of every other header.

namespace isoseam {

/// A null pointer where the window is not one of X11.
inline Display* x11_display(SDL_Window* window) {
    SDL_SysWMinfo info;
    SDL_VERSION(&info.version);
    if (SDL_GetWindowWMInfo(window, &info) != SDL_TRUE || info.subsystem != SDL_SYSWM_X11)
        return nullptr;
    return info.info.x11.display;
}

inline bool has_randr(Display* display) {
    int event = 0;
    int error = 0;
    return XRRQueryExtension(display, &event, &error) != 0;
}

/// `visit(resources, id, info)` for every monitor that shows a part of the window.
template <typename Visit>
void for_each_monitor_under(SDL_Window* window, Display* display, const Visit& visit) {
    SDL_Rect place{};
    SDL_GetWindowPosition(window, &place.x, &place.y);
    SDL_GetWindowSize(window, &place.w, &place.h);
    const std::unique_ptr<XRRScreenResources, decltype(&XRRFreeScreenResources)> resources(
        XRRGetScreenResourcesCurrent(display, DefaultRootWindow(display)), &XRRFreeScreenResources);
    for (int i = 0; resources != nullptr && i < resources->ncrtc; ++i) {
        const RRCrtc id = resources->crtcs[i];
        const std::unique_ptr<XRRCrtcInfo, decltype(&XRRFreeCrtcInfo)> info(
            XRRGetCrtcInfo(display, resources.get(), id), &XRRFreeCrtcInfo);
        if (info == nullptr || info->noutput == 0)
            continue;
        const SDL_Rect monitor{info->x, info->y, static_cast<int>(info->width),
                               static_cast<int>(info->height)};
        if (SDL_HasIntersection(&monitor, &place) == SDL_TRUE)
            visit(*resources, id, *info);
    }
}

}  // namespace isoseam
