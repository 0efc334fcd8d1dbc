#include "runner/screen_station.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "colorimetry/errors.h"

namespace isoseam {
namespace {

// How long a new window may take to get the keyboard before that counts as an interruption.
constexpr double kFocusSeconds = 2.0;

std::string first_of(std::string first, std::string second) {
    return first.empty() ? std::move(second) : std::move(first);
}

std::string joined(const std::vector<std::string>& modes) {
    return modes.empty() ? "none" : fmt::format("{}", fmt::join(modes, ", "));
}

}  // namespace

ScreenStation::ScreenStation(const Setup& setup, VideoSystem& video, ScreenOptions options)
    : setup_(setup),
      video_(video),
      options_(std::move(options)),
      composer_(setup),
      field_source_(setup.field_source()),
      input_(static_cast<int>(setup.protocol().axes.size())) {
    for (int source = 0; source < setup_.source_count(); ++source) {
        const int screen = options_.screen_of_source[static_cast<std::size_t>(source)];
        if (std::any_of(windows_.begin(), windows_.end(),
                        [&](const Window& w) { return w.screen == screen; }))
            continue;
        Window window;
        window.screen = screen;
        open(window);
        window.info = window.presenter->info();
        window.layout = std::make_unique<FieldLayout>(
            setup_.protocol().field, viewing_geometry(setup_, source, window.info.width_px,
                                                      window.info.height_px, options_.placement));
        windows_.push_back(std::move(window));
    }
    for (Window& window : windows_)
        window.clock = measure_clock(*window.presenter, video_, plain(window, setup_.surround(field_source_)),
                                     calibrated_hz(window));
    const double until_s = now_s() + kFocusSeconds;
    while (!disturbance().empty() && now_s() < until_s)
        static_cast<void>(video_.next_event(0.02));
    for (Window& window : windows_) {
        window.as_opened = window.presenter->state();
        window.modes_as_opened = window.presenter->screen_modes();
    }
}

void ScreenStation::open(Window& window) const {
    PresenterOptions presenter;
    presenter.screen = window.screen;
    presenter.full_screen = options_.full_screen;
    presenter.width_px = options_.window_width_px;
    presenter.height_px = options_.window_height_px;
    presenter.title = "Isoseam: " + setup_.protocol().title;
    window.presenter = std::make_unique<Presenter>(video_, presenter);
    window.presenter->before_swap(options_.before_swap);
}

// A window that was lost, or that the system has put elsewhere.
void ScreenStation::open_anew(Window& window) {
    window.presenter.reset();
    try {
        open(window);
        const ScreenInfo& info = window.presenter->info();
        if (info.width_px != window.info.width_px || info.height_px != window.info.height_px ||
            info.bits != window.info.bits) {
            throw MachineError(fmt::format("the screen now has {} x {} pixels of {} bits", info.width_px,
                                           info.height_px, info.bits),
                               fmt::format("set it to {} x {} pixels of {} bits again", window.info.width_px,
                                           window.info.height_px, window.info.bits));
        }
    } catch (const MachineError& error) {
        lost_ = error.what();
        window.presenter.reset();
    }
}

const ScreenStation::Window& ScreenStation::window_of_source(int source) const {
    const int screen = options_.screen_of_source[static_cast<std::size_t>(source)];
    return *std::find_if(windows_.begin(), windows_.end(),
                         [&](const Window& w) { return w.screen == screen; });
}

bool ScreenStation::lit_by(const Window& window, int source) const {
    return &window_of_source(source) == &window;
}

double ScreenStation::calibrated_hz(const Window& window) const {
    int source = 0;
    while (!lit_by(window, source))
        ++source;
    return setup_.solver(source).display().calibration().refresh_hz;
}

std::vector<SourceRecord> ScreenStation::sources() const {
    std::vector<SourceRecord> records;
    for (int source = 0; source < setup_.source_count(); ++source) {
        SourceRecord record;
        record.name = setup_.protocol().rig.sources[static_cast<std::size_t>(source)].name;
        record.screen = options_.screen_of_source[static_cast<std::size_t>(source)];
        record.bits = window_of_source(source).info.bits;
        record.dither = to_string(options_.dither.kind);
        if (!options_.placement.file.empty()) {
            const ViewingGeometry& viewing = window_of_source(source).layout->viewing();
            record.centre_px = {viewing.centre_x_px, viewing.centre_y_px};
        }
        records.push_back(record);
    }
    return records;
}

std::vector<ScreenRecord> ScreenStation::screens() const {
    std::vector<ScreenRecord> records;
    for (const Window& window : windows_) {
        const ScreenInfo& info = window.info;
        records.push_back({info.index, info.name, info.width_px, info.height_px, info.refresh_hz, info.bits,
                           info.video_driver, info.renderer, info.gl_version,
                           clock_record(window.clock, options_.latency_ms)});
    }
    return records;
}

void ScreenStation::draw(Window& window, const std::function<void(Presenter&)>& show) {
    if (window.presenter == nullptr)
        return;
    try {
        show(*window.presenter);
    } catch (const MachineError& error) {
        lost_ = error.what();
        window.presenter.reset();
    }
}

double ScreenStation::show_on(Window& window, const FieldLights& lights) {
    // Not of the time of the last frame that was drawn, if the window was lost.
    double shown_s = now_s();
    Dither dither = options_.dither;
    dither.frame = static_cast<std::uint64_t>(lights.frame);
    draw(window, [&](Presenter& presenter) {
        shown_s = presenter.show(composer_.picture(
            *window.layout, window.info.bits, lights, [&](int source) { return lit_by(window, source); },
            dither));
    });
    return shown_s;
}

bool ScreenStation::keeps_picture() const {
    return !options_.picture.empty() && !picture_saved_ && lost_.empty();
}

double ScreenStation::show_field(const FieldLights& lights) {
    const bool keep = keeps_picture();
    double shown_s = 0.0;
    for (Window& window : windows_) {
        if (keep)
            window.presenter->keep_read_back(true);
        shown_s = show_on(window, lights);
    }
    if (keep && lost_.empty()) {
        write_png(window_of_source(field_source_).presenter->read_back(), options_.picture);
        picture_saved_ = true;
        for (Window& window : windows_)
            window.presenter->keep_read_back(false);
    }
    return shown_s;
}

// Nothing but a light over the whole window of the field's source; the others stay dark.
Page ScreenStation::plain(const Window& window, const LinearDrive& light) const {
    Page page;
    if (lit_by(window, field_source_))
        page.background_code = composer_.background(light, window.info.bits);
    return page;
}

void ScreenStation::show_page(const Instruction& instruction) {
    for (Window& window : windows_) {
        Page page = plain(window, setup_.surround(field_source_));
        if (lit_by(window, field_source_)) {
            page.heading = instruction.heading;
            page.paragraphs = instruction.paragraphs;
            page.foot = instruction.foot;
            page.mirrored = setup_.protocol().rig.mirrored[static_cast<std::size_t>(field_source_)];
        }
        draw(window, [&](Presenter& presenter) { presenter.show(page); });
    }
}

void ScreenStation::show_adaptation(double left) {
    for (Window& window : windows_) {
        Page page;
        if (lit_by(window, field_source_)) {
            page = plain(window, setup_.adaptation(field_source_));
            page.progress = left;
        }
        draw(window, [&](Presenter& presenter) { presenter.show(page); });
    }
}

void ScreenStation::take_field_away() {
    for (Window& window : windows_)
        draw(window,
             [&](Presenter& presenter) { presenter.show(plain(window, setup_.surround(field_source_))); });
}

Action ScreenStation::wait(double timeout_s) {
    const double until_s = now_s() + timeout_s;
    Action interrupted =
        new_interruption(timeout_s > 0.0 ? first_of(disturbance(), changed_screen()) : disturbance());
    for (;;) {
        if (interrupted.kind != Action::Kind::none)
            return interrupted;
        const std::optional<InputEvent> event = video_.next_event(std::max(0.0, until_s - now_s()));
        if (!event)
            return {};
        if (event->kind == InputEvent::Kind::focus_lost || event->kind == InputEvent::Kind::window_changed) {
            interrupted = new_interruption(first_of(disturbance(), changed_screen()));
            continue;
        }
        const Action action = input_.action(*event);
        if (action.kind != Action::Kind::none)
            return action;
    }
}

void ScreenStation::check_timing() const {
    if (windows_.size() > 1) {
        throw MachineError("two screens refresh each on its own, so their frames cannot be timed together",
                           "show timed stimuli on one screen");
    }
    const ScreenClock& clock = windows_.front().clock;
    if (!clock.synchronised && !options_.despite_unsynchronised) {
        throw MachineError(
            fmt::format("frames do not wait for the screen's refresh: {}", clock.why_not),
            "switch on vertical synchronisation in the graphics driver, or go on with --despite "
            "unsynchronised (it will be recorded)");
    }
}

Action ScreenStation::show_presentation(const Presentation& presentation, PresentationProgress& progress) {
    check_timing();
    Window& window = windows_.front();
    while (!presentation.end_frame || progress.next_frame < *presentation.end_frame) {
        if (!progress.watch)
            progress.watch = frame_watch(window.clock);
        const Action action = wait(0.0);
        if (action.kind == Action::Kind::escape || action.kind == Action::Kind::interrupted)
            take_field_away();
        if (action.kind != Action::Kind::none || !lost_.empty())
            return action;
        progress.began_s = progress.began_s.value_or(now_s());
        if (presentation.longest_s && now_s() - *progress.began_s >= *presentation.longest_s)
            break;
        FieldLights lights = presentation.lights(progress.next_frame);
        lights.frame = progress.next_frame;
        keep_beat(*window.presenter, window.clock, *progress.watch);
        if (keeps_picture())
            show_field(lights);
        else
            show_on(window, lights);
        if (!lost_.empty())
            continue;
        const FrameStamp& stamp = window.presenter->stamp();
        if (progress.frames.shown == 0)
            progress.first_frame_s = stamp.time_s;
        const FrameWatch::Finding found = progress.watch->frame(stamp);
        ++progress.frames.shown;
        progress.frames.late += found.late ? 1 : 0;
        progress.frames.dropped += found.dropped;
        ++progress.next_frame;
    }
    return {Action::Kind::ended, {}};
}

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

// Cheap enough for every frame.
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
    return has_focus ? "" : "another window has the keyboard";
}

// What only the X server tells: too slow for every frame.
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

Action ScreenStation::new_interruption(std::string what) {
    if (what.empty() || interruption_told_)
        return {};
    interruption_told_ = true;
    return {Action::Kind::interrupted, {}, std::move(what)};
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
        // Plugged in again, but its window has stayed where the system put it meanwhile.
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

std::vector<std::string> ScreenStation::compositor_warnings() const {
    std::vector<std::string> warnings;
    for (const Window& window : windows_) {
        if (window.presenter->compositing_manager().value_or(false)) {
            warnings.push_back(
                fmt::format("screen {}: a compositing manager runs, which may hold frames back or change "
                            "them; it was asked to "
                            "stay out of full screens",
                            window.screen));
        }
    }
    return warnings;
}

void ScreenStation::forget_presses() {
    while (const std::optional<InputEvent> event = video_.next_event(0.0))
        static_cast<void>(
            input_.action(*event));  // a stick that came back to the middle meanwhile is free again
}

}  // namespace isoseam
