#include "runner/measuring/patch_screen.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "base/errors.h"

namespace isoseam {
namespace {

std::array<std::uint16_t, 3> codes_of(const Drive& drive, int bits) {
    std::array<std::uint16_t, 3> codes{};
    if (drive.fractions.size() == 0)
        return codes;
    ISOSEAM_CHECK_EQ(drive.fractions.size(), 3);
    for (std::size_t channel = 0; channel < 3; ++channel) {
        const double share = drive.fractions[static_cast<Eigen::Index>(channel)];
        codes[channel] = static_cast<std::uint16_t>(std::lround(share * ((1 << bits) - 1)));
    }
    return codes;
}

// Returns the first pixel and the number of pixels of a stretch of the screen.
std::pair<int, int> stretch(double centre, double length, int pixels) {
    const int first =
        std::clamp(static_cast<int>(std::lround((centre - length / 2.0) * pixels)), 0, pixels - 1);
    const int end =
        std::clamp(static_cast<int>(std::lround((centre + length / 2.0) * pixels)), first + 1, pixels);
    return {first, end - first};
}

ReadingFailure disturbed(std::string found, std::string remedy) {
    return {Trouble::disturbed, std::move(found), std::move(remedy)};
}

PresenterOptions presenter_options(const PatchScreenOptions& options) {
    PresenterOptions presenter;
    presenter.screen = options.screen;
    presenter.full_screen = options.full_screen;
    presenter.width_px = options.window_width_px;
    presenter.height_px = options.window_height_px;
    presenter.wanted_bits = options.bits;
    presenter.title = "Isoseam: measuring";
    return presenter;
}

}  // namespace

CodePatch code_patch(const ShownPatch& patch, int width_px, int height_px, int bits) {
    CodePatch result;
    std::tie(result.left_px, result.width_px) = stretch(patch.place.x, patch.place.width, width_px);
    std::tie(result.top_px, result.height_px) = stretch(patch.place.y, patch.place.height, height_px);
    result.code = codes_of(patch.drive, bits);
    result.surround_code = codes_of(patch.surround, bits);
    return result;
}

bool PatchScreen::wait_for_go_on() {
    constexpr double kLongSeconds = 3600.0;
    while (true) {
        const Press press = wait(kLongSeconds);
        if (press != Press::none)
            return press != Press::leave;
    }
}

ScreenShown NoPatchScreen::description() const {
    ScreenShown screen;
    screen.name = "none: nothing was shown";
    screen.bits = bits_;
    return screen;
}

void NoPatchScreen::show(const ShownPatch& /*patch*/) {}

PatchScreen::Press NoPatchScreen::wait(double timeout_s) {
    now_s_ += timeout_s;
    return Press::none;
}

WindowPatchScreen::WindowPatchScreen(VideoSystem& video, const PatchScreenOptions& options)
    : video_(video), options_(options), presenter_(video, presenter_options(options)) {
    const int bits = presenter_.info().bits;
    if (bits != options_.bits) {
        throw MachineError(
            fmt::format("screen {} has a frame buffer of {} bits, and the plan is for {}", options_.screen,
                        bits, options_.bits),
            fmt::format("measure with --bits {}, or set the screen to another colour depth", bits));
    }
}

ScreenShown WindowPatchScreen::description() const {
    const ScreenInfo& info = presenter_.info();
    return {info.name,       info.index, info.width_px,     info.height_px,
            info.refresh_hz, info.bits,  info.video_driver, options_.full_screen};
}

PatchScreen::Findings WindowPatchScreen::findings() {
    Findings findings;
    if (const std::optional<ColourTables> tables = presenter_.colour_tables()) {
        findings.refuse = tables->changing;
        findings.warn = tables->assigned;
    } else {
        findings.warn.emplace_back(
            "this system does not tell whether colours are changed on their way to the panel: see that no "
            "colour management, night light or gamma table is on");
    }
    if (!options_.full_screen)
        findings.warn.emplace_back("shown in a window, not full screen: for trying out, not for data");
    return findings;
}

void WindowPatchScreen::show(const ShownPatch& patch) {
    const ScreenInfo& info = presenter_.info();
    presenter_.show(code_patch(patch, info.width_px, info.height_px, info.bits));
    if (!first_) {
        first_ = presenter_.state();
        tables_at_first_ = presenter_.colour_tables();
    }
}

std::optional<ReadingFailure> WindowPatchScreen::disturbance() {
    const WindowState now = presenter_.state();
    if (first_ && (now.x_px != first_->x_px || now.y_px != first_->y_px || now.screen != first_->screen)) {
        const WindowState then = *first_;
        // A moved window is told once only, because whoever goes on has aimed the instrument again.
        first_ = now;
        return disturbed(fmt::format("the window was moved from {}, {} to {}, {}", then.x_px, then.y_px,
                                     now.x_px, now.y_px),
                         "leave it where it is, and aim the instrument at the patch again");
    }
    if (!now.shown)
        return disturbed("the window is hidden", "bring it to the front");
    if (!now.has_focus)
        return disturbed("another window has the keyboard and may cover the patch",
                         "click on the measuring window, and leave the computer alone while it reads");
    const std::string asleep = presenter_.screen_asleep().value_or("");
    if (!asleep.empty())
        return disturbed(asleep, "wake the screen, and switch screen saver and power saving off");
    const std::optional<ColourTables> tables = presenter_.colour_tables();
    if (tables && tables_at_first_ && tables->changing != tables_at_first_->changing) {
        tables_at_first_ = tables;
        return disturbed(
            "the graphics card's colour table was changed since the measurement began",
            "switch off whatever changes colours by itself, such as a night light, and begin anew");
    }
    return std::nullopt;
}

PatchScreen::Press WindowPatchScreen::wait(double timeout_s) {
    const double until_s = now_s() + timeout_s;
    while (true) {
        const std::optional<InputEvent> event = video_.next_event(std::max(0.0, until_s - now_s()));
        if (!event)
            return Press::none;
        if (event->kind == InputEvent::Kind::window_closed)
            return Press::leave;
        if (event->kind != InputEvent::Kind::key_down || event->repeat)
            continue;
        if (event->name == "Escape")
            return Press::leave;
        if (event->name == "Space")
            return Press::pause;
        if (event->name == "Return")
            return Press::go_on;
    }
}

}  // namespace isoseam
