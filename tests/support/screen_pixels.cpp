#include "support/screen_pixels.h"

#include <X11/Xlib.h>
#include <X11/Xutil.h>

#include <bit>
#include <stdexcept>

namespace isoseam::test {

struct ScreenPixels::Connection {
    Display* display = nullptr;
    int screen() const { return XDefaultScreen(display); }
    const Visual* visual() const { return XDefaultVisual(display, screen()); }
};

ScreenPixels::ScreenPixels(const std::string& display)
    : connection_(new Connection{XOpenDisplay(display.empty() ? nullptr : display.c_str())}) {
    if (connection_->display == nullptr)
        throw std::runtime_error("cannot open the X display");
}

ScreenPixels::~ScreenPixels() {
    XCloseDisplay(connection_->display);
}

int ScreenPixels::width() const {
    return XDisplayWidth(connection_->display, connection_->screen());
}

int ScreenPixels::height() const {
    return XDisplayHeight(connection_->display, connection_->screen());
}

int ScreenPixels::bits() const {
    return std::popcount(connection_->visual()->red_mask);
}

std::array<unsigned, 3> ScreenPixels::codes(int column, int row) const {
    Display* display = connection_->display;
    XImage* image = XGetImage(display, XDefaultRootWindow(display), column, row, 1, 1, AllPlanes, ZPixmap);
    if (image == nullptr)
        throw std::runtime_error("cannot read the X screen");
    const unsigned long value = XGetPixel(image, 0, 0);
    XDestroyImage(image);
    const auto channel = [&](unsigned long mask) {
        return static_cast<unsigned>((value & mask) >> static_cast<unsigned>(std::countr_zero(mask)));
    };
    const Visual* visual = connection_->visual();
    return {channel(visual->red_mask), channel(visual->green_mask), channel(visual->blue_mask)};
}

}  // namespace isoseam::test
