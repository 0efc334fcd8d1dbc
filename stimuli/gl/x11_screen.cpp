#include "stimuli/gl/x11_screen.h"

#include <X11/Xatom.h>
#include <X11/Xlib.h>
#include <X11/extensions/dpms.h>
#include <X11/extensions/scrnsaver.h>
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <memory>

#include "stimuli/gl/x11_monitors.h"

namespace isoseam {
namespace {

// Systems write "no change" as code * 256 or as code * 257: they differ by up to one code of 8 bits.
constexpr double kOneCodeOf8Bits = 257.0;
constexpr double kFullTable = 65535.0;

struct XFreer {
    void operator()(void* memory) const { XFree(memory); }
};

// The largest change that a table makes to a code, as a share of full.
double largest_change(const unsigned short* table, int size) {
    double largest = 0.0;
    for (int i = 0; i < size; ++i)
        largest = std::max(largest, std::abs(table[i] - kFullTable * i / (size - 1)));
    return largest;
}

// Virtual screens hold a table of zeros that nobody applies: with it a real screen would be black.
bool is_unset(const XRRCrtcGamma& gamma) {
    const int last = gamma.size - 1;
    return gamma.red[last] == 0 && gamma.green[last] == 0 && gamma.blue[last] == 0;
}

std::string table_words(const XRRCrtcGamma& gamma) {
    if (is_unset(gamma))
        return "";
    const double change =
        std::max({largest_change(gamma.red, gamma.size), largest_change(gamma.green, gamma.size),
                  largest_change(gamma.blue, gamma.size)});
    if (!(change > kOneCodeOf8Bits))
        return "";
    return fmt::format(
        "the graphics card's table changes drives by up to {:.1f} % of full on their way to the panel",
        100.0 * change / kFullTable);
}

void add_tables(Display* display, SDL_Window* window, ColourTables& tables) {
    if (!has_randr(display))
        return;
    for_each_monitor_under(window, display, [&](XRRScreenResources&, RRCrtc id, const XRRCrtcInfo&) {
        if (XRRGetCrtcGammaSize(display, id) < 2)
            return;
        const std::unique_ptr<XRRCrtcGamma, decltype(&XRRFreeGamma)> gamma(XRRGetCrtcGamma(display, id),
                                                                           &XRRFreeGamma);
        const std::string words = gamma == nullptr ? "" : table_words(*gamma);
        if (!words.empty())
            tables.changing.push_back(words);
    });
}

// An open convention (ICC profiles in X): the profile of a screen is a property of its root window.
void add_profile(Display* display, ColourTables& tables) {
    const Atom name = XInternAtom(display, "_ICC_PROFILE", True);
    if (name == None)
        return;
    Atom type = None;
    int format = 0;
    unsigned long count = 0;
    unsigned long left = 0;
    unsigned char* bytes = nullptr;
    XGetWindowProperty(display, DefaultRootWindow(display), name, 0, 0, False, AnyPropertyType, &type,
                       &format, &count, &left, &bytes);
    const std::unique_ptr<unsigned char, XFreer> freed(bytes);
    if (type != None && left > 0)
        tables.assigned.emplace_back(
            "a colour profile is assigned to the screen: this window does not follow it, but whatever loads "
            "its "
            "curves must do the same now and in every session");
}

}  // namespace

std::optional<ColourTables> x11_colour_tables(SDL_Window* window) {
    Display* display = x11_display(window);
    if (display == nullptr)
        return std::nullopt;
    ColourTables tables;
    add_tables(display, window, tables);
    add_profile(display, tables);
    return tables;
}

std::optional<std::string> x11_screen_asleep(SDL_Window* window) {
    Display* display = x11_display(window);
    if (display == nullptr)
        return std::nullopt;
    int event = 0;
    int error = 0;
    if (XScreenSaverQueryExtension(display, &event, &error) != 0) {
        const std::unique_ptr<XScreenSaverInfo, XFreer> info(XScreenSaverAllocInfo());
        if (XScreenSaverQueryInfo(display, DefaultRootWindow(display), info.get()) != 0 &&
            info->state == ScreenSaverOn)
            return "the screen saver is on";
    }
    CARD16 level = DPMSModeOn;
    BOOL enabled = False;
    if (DPMSQueryExtension(display, &event, &error) != 0 && DPMSInfo(display, &level, &enabled) != 0 &&
        enabled != False && level != DPMSModeOn)
        return "the screen is asleep";
    return "";
}

}  // namespace isoseam
