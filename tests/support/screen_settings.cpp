#include "support/screen_settings.h"

#include <X11/Xlib.h>
#include <X11/Xutil.h>
#include <X11/extensions/Xrandr.h>

#include <cmath>
#include <stdexcept>

namespace isoseam::test {
namespace {

bool is_called(Display* display, Window window, const std::string& title_begins) {
    char* name = nullptr;
    if (XFetchName(display, window, &name) == 0 || name == nullptr)
        return false;
    const bool called = std::string(name).rfind(title_begins, 0) == 0;
    XFree(name);
    return called;
}

bool move_below(Display* display, Window window, const std::string& title_begins, int x_px, int y_px) {
    if (is_called(display, window, title_begins)) {
        XMoveWindow(display, window, x_px, y_px);
        return true;
    }
    Window root = 0;
    Window parent = 0;
    Window* children = nullptr;
    unsigned count = 0;
    if (XQueryTree(display, window, &root, &parent, &children, &count) == 0)
        return false;
    bool moved = false;
    for (unsigned i = 0; i < count && !moved; ++i)
        moved = move_below(display, children[i], title_begins, x_px, y_px);
    if (children != nullptr)
        XFree(children);
    return moved;
}

}  // namespace

struct ScreenSettings::Connection {
    Display* display = nullptr;
    ~Connection() {
        if (display != nullptr)
            XCloseDisplay(display);
    }
};

ScreenSettings::ScreenSettings(const std::string& display) : connection_(std::make_unique<Connection>()) {
    connection_->display = XOpenDisplay(display.empty() ? nullptr : display.c_str());
    if (connection_->display == nullptr)
        throw std::runtime_error("no X display " + display);
}

ScreenSettings::~ScreenSettings() = default;

void ScreenSettings::set_colour_table(double exponent) {
    Display* display = connection_->display;
    XRRScreenResources* resources = XRRGetScreenResourcesCurrent(display, DefaultRootWindow(display));
    if (resources == nullptr || resources->ncrtc == 0)
        throw std::runtime_error("no monitor");
    for (int i = 0; i < resources->ncrtc; ++i) {
        const int size = XRRGetCrtcGammaSize(display, resources->crtcs[i]);
        XRRCrtcGamma* table = XRRAllocGamma(size);
        for (int k = 0; k < size; ++k) {
            const double share = std::pow(static_cast<double>(k) / (size - 1), exponent);
            const auto entry = static_cast<unsigned short>(std::lround(65535.0 * share));
            table->red[k] = table->green[k] = table->blue[k] = entry;
        }
        XRRSetCrtcGamma(display, resources->crtcs[i], table);
        XRRFreeGamma(table);
    }
    XRRFreeScreenResources(resources);
    XSync(display, False);
}

void ScreenSettings::set_screen_saver(bool on) {
    XForceScreenSaver(connection_->display, on ? ScreenSaverActive : ScreenSaverReset);
    XSync(connection_->display, False);
}

bool ScreenSettings::move_window(const std::string& title_begins, int x_px, int y_px) {
    Display* display = connection_->display;
    const bool moved = move_below(display, DefaultRootWindow(display), title_begins, x_px, y_px);
    XSync(display, False);
    return moved;
}

}  // namespace isoseam::test
