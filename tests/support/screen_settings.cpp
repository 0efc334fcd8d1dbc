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

// 0 when there is none.
Window find_below(Display* display, Window window, const std::string& title_begins) {
    if (is_called(display, window, title_begins))
        return window;
    Window root = 0;
    Window parent = 0;
    Window* children = nullptr;
    unsigned count = 0;
    if (XQueryTree(display, window, &root, &parent, &children, &count) == 0)
        return 0;
    Window found = 0;
    for (unsigned i = 0; i < count && found == 0; ++i)
        found = find_below(display, children[i], title_begins);
    if (children != nullptr)
        XFree(children);
    return found;
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

bool ScreenSettings::with_window(const std::string& title_begins,
                                 const std::function<void(unsigned long)>& act) {
    Display* display = connection_->display;
    const Window window = find_below(display, DefaultRootWindow(display), title_begins);
    if (window != 0)
        act(window);
    XSync(display, False);
    return window != 0;
}

bool ScreenSettings::move_window(const std::string& title_begins, int x_px, int y_px) {
    return with_window(title_begins,
                       [&](Window window) { XMoveWindow(connection_->display, window, x_px, y_px); });
}

bool ScreenSettings::show_window(const std::string& title_begins, bool shown) {
    return with_window(title_begins, [&](Window window) {
        if (shown)
            XMapRaised(connection_->display, window);
        else
            XUnmapWindow(connection_->display, window);
    });
}

bool ScreenSettings::focus_window(const std::string& title_begins) {
    return with_window(title_begins, [&](Window window) {
        XSetInputFocus(connection_->display, window, RevertToParent, CurrentTime);
    });
}

void ScreenSettings::claim_compositing() {
    Display* display = connection_->display;
    const Window owner = XCreateSimpleWindow(display, DefaultRootWindow(display), -5, -5, 1, 1, 0, 0, 0);
    XSetSelectionOwner(display, XInternAtom(display, "_NET_WM_CM_S0", False), owner, CurrentTime);
    XSync(display, False);
}

long ScreenSettings::window_property(const std::string& title_begins, const std::string& property) {
    long value = -1;
    with_window(title_begins, [&](Window window) {
        Display* display = connection_->display;
        Atom type = None;
        int format = 0;
        unsigned long count = 0, left = 0;
        unsigned char* bytes = nullptr;
        XGetWindowProperty(display, window, XInternAtom(display, property.c_str(), False), 0, 1, False,
                           AnyPropertyType, &type, &format, &count, &left, &bytes);
        if (count == 1 && format == 32)
            value = *reinterpret_cast<const long*>(bytes);
        if (bytes != nullptr)
            XFree(bytes);
    });
    return value;
}

}  // namespace isoseam::test
