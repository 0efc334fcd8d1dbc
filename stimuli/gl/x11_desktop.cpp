#include "stimuli/gl/x11_desktop.h"

#include <fmt/format.h>

#include <memory>

#include "stimuli/gl/x11_monitors.h"

namespace isoseam {
namespace {

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
    const std::unique_ptr<XRROutputInfo, decltype(&XRRFreeOutputInfo)> output(
        XRRGetOutputInfo(display, &resources, crtc.outputs[0]), &XRRFreeOutputInfo);
    if (output != nullptr)
        name = std::string(output->name, static_cast<std::size_t>(output->nameLen));
    return fmt::format("{}: {} x {} pixels at {:.2f} Hz", name, crtc.width, crtc.height,
                       refresh_hz(resources, crtc.mode));
}

}  // namespace

std::optional<std::vector<std::string>> x11_screen_modes(SDL_Window* window) {
    Display* display = x11_display(window);
    if (display == nullptr || !has_randr(display))
        return std::nullopt;
    std::vector<std::string> modes;
    for_each_monitor_under(window, display,
                           [&](XRRScreenResources& resources, RRCrtc, const XRRCrtcInfo& monitor) {
                               modes.push_back(mode_words(display, resources, monitor));
                           });
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
