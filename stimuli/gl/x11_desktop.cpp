#include "stimuli/gl/x11_desktop.h"

#include <SDL.h>
#include <SDL_syswm.h>
#include <X11/Xlib.h>
#include <X11/extensions/Xrandr.h>
#include <fmt/format.h>

#include <memory>

namespace isoseam {
namespace {

struct ResourcesFreer {
    void operator()(XRRScreenResources* resources) const { XRRFreeScreenResources(resources); }
};
using Resources = std::unique_ptr<XRRScreenResources, ResourcesFreer>;
struct CrtcFreer {
    void operator()(XRRCrtcInfo* info) const { XRRFreeCrtcInfo(info); }
};
struct OutputFreer {
    void operator()(XRROutputInfo* info) const { XRRFreeOutputInfo(info); }
};

Display* x11_display(SDL_Window* window) {
    SDL_SysWMinfo info;
    SDL_VERSION(&info.version);
    if (SDL_GetWindowWMInfo(window, &info) != SDL_TRUE || info.subsystem != SDL_SYSWM_X11)
        return nullptr;
    return info.info.x11.display;
}

// The refresh rate is 0 where the mode does not say it.
double refresh_hz(const XRRScreenResources& resources, RRMode id) {
    for (int i = 0; i < resources.nmode; ++i) {
        const XRRModeInfo& mode = resources.modes[i];
        const double pixels = static_cast<double>(mode.hTotal) * static_cast<double>(mode.vTotal);
        if (mode.id == id && pixels > 0.0)
            return static_cast<double>(mode.dotClock) / pixels;
    }
    return 0.0;
}

std::string mode_words(Display* display, XRRScreenResources& resources, const XRRCrtcInfo& crtc) {
    std::string name = "screen";
    const std::unique_ptr<XRROutputInfo, OutputFreer> output(
        XRRGetOutputInfo(display, &resources, crtc.outputs[0]));
    if (output != nullptr)
        name = std::string(output->name, static_cast<std::size_t>(output->nameLen));
    return fmt::format("{}: {} x {} pixels at {:.2f} Hz", name, crtc.width, crtc.height,
                       refresh_hz(resources, crtc.mode));
}

bool overlaps(const XRRCrtcInfo& info, const SDL_Rect& window) {
    const SDL_Rect monitor{info.x, info.y, static_cast<int>(info.width), static_cast<int>(info.height)};
    return SDL_HasIntersection(&monitor, &window) == SDL_TRUE;
}

}  // namespace

std::optional<std::vector<std::string>> x11_screen_modes(SDL_Window* window) {
    Display* display = x11_display(window);
    int event = 0;
    int error = 0;
    if (display == nullptr || XRRQueryExtension(display, &event, &error) == 0)
        return std::nullopt;
    SDL_Rect place{};
    SDL_GetWindowPosition(window, &place.x, &place.y);
    SDL_GetWindowSize(window, &place.w, &place.h);
    std::vector<std::string> modes;
    const Resources resources(XRRGetScreenResourcesCurrent(display, DefaultRootWindow(display)));
    for (int i = 0; resources != nullptr && i < resources->ncrtc; ++i) {
        const std::unique_ptr<XRRCrtcInfo, CrtcFreer> crtc(
            XRRGetCrtcInfo(display, resources.get(), resources->crtcs[i]));
        if (crtc != nullptr && crtc->noutput > 0 && overlaps(*crtc, place))
            modes.push_back(mode_words(display, *resources, *crtc));
    }
    return modes;
}

std::optional<bool> x11_compositing_manager(SDL_Window* window) {
    Display* display = x11_display(window);
    if (display == nullptr)
        return std::nullopt;
    const std::string name = fmt::format("_NET_WM_CM_S{}", DefaultScreen(display));
    return XGetSelectionOwner(display, XInternAtom(display, name.c_str(), False)) != None;
}

}  // namespace isoseam
