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
    return block(column, row, 1, 1).front();
}

std::vector<std::array<unsigned, 3>> ScreenPixels::block(int column, int row, int width, int height) const {
    Display* display = connection_->display;
    XImage* image = XGetImage(display, XDefaultRootWindow(display), column, row, static_cast<unsigned>(width),
                              static_cast<unsigned>(height), AllPlanes, ZPixmap);
    if (image == nullptr)
        throw std::runtime_error("cannot read the X screen");
    const Visual* visual = connection_->visual();
    std::vector<std::array<unsigned, 3>> pixels;
    for (int y = 0; y < height; ++y) {
        for (int x = 0; x < width; ++x) {
            const unsigned long value = XGetPixel(image, x, y);
            const auto channel = [&](unsigned long mask) {
                return static_cast<unsigned>((value & mask) >> static_cast<unsigned>(std::countr_zero(mask)));
            };
            pixels.push_back(
                {channel(visual->red_mask), channel(visual->green_mask), channel(visual->blue_mask)});
        }
    }
    XDestroyImage(image);
    return pixels;
}

}  // namespace isoseam::test
