// The part of ScreenStation that looks for what keeps an observer from seeing or answering.

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <utility>

#include "runner/screen/screen_station.h"

namespace isoseam {
namespace {

std::string first_of(std::string first, std::string second) {
    return first.empty() ? std::move(second) : std::move(first);
}

std::string joined(const std::vector<std::string>& modes) {
    return modes.empty() ? "none" : fmt::format("{}", fmt::join(modes, ", "));
}

}  // namespace

std::string ScreenStation::disturbance_of(const Window& window) const {
    const WindowState now = window.presenter->state();
    if (!now.shown)
        return "the window is hidden";
    if (now.width_px != window.info.width_px || now.height_px != window.info.height_px) {
        return fmt::format("the window was resized from {} x {} to {} x {} pixels", window.info.width_px,
                           window.info.height_px, now.width_px, now.height_px);
    }
    return "";
}

// This is cheap enough for every frame.
std::string ScreenStation::disturbance() const {
    if (!lost_.empty())
        return lost_;
    bool has_focus = false;
    for (const Window& window : windows_) {
        const std::string found = disturbance_of(window);
        if (!found.empty())
            return found;
        has_focus = has_focus || window.presenter->state().has_focus;
    }
    if (!has_focus)
        return "another window has the keyboard";
    return video_.hears_all() ? "" : "the knob was unplugged";
}

// Only the X server tells about these changes, and asking it is too slow for every frame.
std::string ScreenStation::changed_screen() const {
    for (const Window& window : windows_) {
        if (window.presenter == nullptr)
            continue;
        const std::optional<std::vector<std::string>> modes = window.presenter->screen_modes();
        if (options_.full_screen && modes && window.modes_as_opened && *modes != *window.modes_as_opened) {
            return fmt::format("the screen was changed or unplugged (it was {}, and is {})",
                               joined(*window.modes_as_opened), joined(*modes));
        }
        const std::string asleep = window.presenter->screen_asleep().value_or("");
        if (!asleep.empty())
            return asleep;
    }
    return "";
}

std::string ScreenStation::disturbance_or_change() const {
    return first_of(disturbance(), changed_screen());
}

Action ScreenStation::new_interruption(std::string what) {
    if (what.empty() || interruption_told_)
        return {};
    interruption_told_ = true;
    return Interrupted{.reason = std::move(what)};
}

std::optional<std::string> ScreenStation::interruption() {
    if (!lost_.empty()) {
        lost_.clear();
        for (Window& window : windows_) {
            if (window.presenter == nullptr)
                open_anew(window);
        }
    }
    std::string found = first_of(lost_, changed_screen());
    for (Window& window : windows_) {
        // The screen is plugged in again, but its window has stayed where the system put it meanwhile.
        if (found.empty() && options_.full_screen &&
            window.presenter->state().screen != window.as_opened.screen)
            open_anew(window);
    }
    found = first_of(found, disturbance());
    if (!found.empty())
        return found;
    interruption_told_ = false;
    return std::nullopt;
}

}  // namespace isoseam
