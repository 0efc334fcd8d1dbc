#include "runner/screen/screen_station.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "base/errors.h"
#include "runner/screen/page_screens.h"
#include "runner/screen/sounds.h"
#include "runner/station/key_hints.h"
#include "runner/station/word_station.h"

namespace isoseam {
namespace {

// How long a new window may take to get the keyboard before that counts as an interruption.
constexpr double kFocusSeconds = 2.0;

}  // namespace

ScreenStation::ScreenStation(const Setup& setup, VideoSystem& video, ScreenOptions options)
    : setup_(setup),
      video_(video),
      options_(std::move(options)),
      composer_(setup),
      field_source_(setup.field_source()),
      input_(options_.keys) {
    if (options_.phrases == nullptr)
        options_.phrases = std::make_shared<const Phrases>(Phrases::read("en"));
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
    if (options_.knob)
        video_.listen_to(options_.knob->device, options_.knob->axis);
    if (options_.sounds) {
        try {
            sounds_ = std::make_unique<SoundPlayer>();
        } catch (const MachineError& error) {
            no_sound_ = error.what();
        }
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

// Opens a window anew that was lost, or that the system has put elsewhere.
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
    std::vector<SourceRecord> records = sources_as_calibrated(setup_);
    for (int source = 0; source < setup_.source_count(); ++source) {
        SourceRecord& record = records[static_cast<std::size_t>(source)];
        record.screen = options_.screen_of_source[static_cast<std::size_t>(source)];
        record.bits = window_of_source(source).info.bits;
        record.dither = to_string(options_.dither.kind);
        if (!options_.placement.file.empty()) {
            const ViewingGeometry& viewing = window_of_source(source).layout->viewing();
            record.centre_px = {viewing.centre_x_px, viewing.centre_y_px};
        }
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
    // If the window was lost, the time of the last frame that was drawn would be wrong.
    double shown_s = now_s();
    Dither dither = options_.dither;
    dither.frame = static_cast<std::uint64_t>(lights.frame);
    draw(window, [&](Presenter& presenter) {
        shown_s = presenter.show(composer_.picture(
                                     *window.layout, window.info.bits, lights,
                                     [&](int source) { return lit_by(window, source); }, dither),
                                 lit_by(window, field_source_) ? lights.caption : "");
    });
    return shown_s;
}

bool ScreenStation::keeps_picture() const {
    return !options_.picture.empty() && !picture_saved_ && lost_.empty();
}

double ScreenStation::show_field(const FieldLights& lights) {
    screens_to_read_.clear();
    const bool keep = keeps_picture();
    double shown_s = 0.0;
    for (Window& window : windows_) {
        if (keep)
            window.presenter->keep_read_back(true);
        shown_s = show_on(window, lights);
    }
    if (keep && lost_.empty()) {
        write_output(options_.picture, png_bytes(window_of_source(field_source_).presenter->read_back()),
                     "--picture", options_.picture_rules);
        picture_saved_ = true;
        for (Window& window : windows_)
            window.presenter->keep_read_back(false);
    }
    return shown_s;
}

// Shows one light over the whole window of the field's source; other windows stay dark.
Page ScreenStation::plain(const Window& window, const LinearDrive& light) const {
    Page page;
    if (lit_by(window, field_source_))
        page.background_code = composer_.background(light, window.info.bits);
    return page;
}

// The paper is light enough for black ink, and no brighter than need be in a dark room.
LinearDrive ScreenStation::paper() const {
    constexpr double kPaper = 0.5;  // of each primary's full light
    return {Eigen::VectorXd::Constant(setup_.solver(field_source_).display().primary_count(), kPaper)};
}

std::optional<std::array<int, 2>> ScreenStation::screen_size_px() const {
    const ScreenInfo& info = window_of_source(field_source_).info;
    return std::array{info.width_px, info.height_px};
}

void ScreenStation::show_page(const Instruction& instruction) {
    const Window& window = window_of_source(field_source_);
    Page empty = plain(window, setup_.surround(field_source_));
    empty.type_size = options_.text_size;
    if (instruction.picture != nullptr)
        empty.background_code = composer_.background(paper(), window.info.bits);
    empty.mirrored = setup_.protocol().rig.mirrored[static_cast<std::size_t>(field_source_)];
    // Only what is merely read goes on over several screens: a list or a number stays in sight.
    const auto fits = [&](const Page& page) {
        return !std::holds_alternative<ExpectGoOn>(expected_) || window.presenter == nullptr ||
               window.presenter->fits(page);
    };
    const std::vector<Page> screens =
        page_screens(instruction, empty, std::holds_alternative<ExpectNumber>(expected_),
                     (*options_.phrases)("read_on_foot"), fits);
    show_screen(screens.front());
    screens_to_read_.assign(screens.begin() + 1, screens.end());
}

void ScreenStation::show_screen(const Page& page) {
    for (Window& window : windows_)
        draw(window,
             [&](Presenter& presenter) { presenter.show(lit_by(window, field_source_) ? page : Page{}); });
}

void ScreenStation::show_adaptation(double left) {
    screens_to_read_.clear();
    Page page = plain(window_of_source(field_source_), setup_.adaptation(field_source_));
    page.progress = left;
    show_screen(page);
}

Action ScreenStation::wait(double timeout_s) {
    const double until_s = now_s() + timeout_s;
    Action interrupted = new_interruption(timeout_s > 0.0 ? disturbance_or_change() : disturbance());
    for (;;) {
        if (!std::holds_alternative<NoAction>(interrupted))
            return interrupted;
        const Action waiting = std::exchange(escape_kept_, false) ? Action(Escaped{}) : input_.pending_step();
        if (!std::holds_alternative<NoAction>(waiting))
            return waiting;
        const std::optional<InputEvent> event = video_.next_event(std::max(0.0, until_s - now_s()));
        if (!event)
            return {};
        const Action action = input_.action(*event);
        if (event->kind == InputEvent::Kind::focus_lost || event->kind == InputEvent::Kind::window_changed ||
            event->kind == InputEvent::Kind::knob_removed)
            interrupted = new_interruption(disturbance_or_change());
        if (std::holds_alternative<Accepted>(action) && !screens_to_read_.empty()) {
            show_screen(screens_to_read_.front());
            screens_to_read_.pop_front();
        } else if (!std::holds_alternative<NoAction>(action)) {
            return action;
        }
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

bool ScreenStation::shows_frames() const {
    return windows_.size() == 1 && (windows_.front().clock.synchronised || options_.despite_unsynchronised);
}

Action ScreenStation::show_presentation(const Presentation& presentation, PresentationProgress& progress) {
    check_timing();
    Window& window = windows_.front();
    while (!presentation.end_frame || progress.next_frame < *presentation.end_frame) {
        if (!progress.watch)
            progress.watch = frame_watch(window.clock);
        const Action action = wait(0.0);
        if (stops(action))
            show_screen(plain(window, setup_.surround(field_source_)));
        if (!std::holds_alternative<NoAction>(action) || !lost_.empty())
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
    return PresentationEnded{};
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
        escape_kept_ = input_.forget(*event) || escape_kept_;
}

void ScreenStation::expect(const Expected& expected) {
    expected_ = expected;
    input_.expect(expected);
}

std::vector<KeyHint> ScreenStation::key_hints(const Expected& expected) const {
    return key_hints_for(expected, options_.keys, *options_.phrases,
                         [&](const std::string& key) { return video_.key_label(key); });
}

void ScreenStation::use_language(const std::string& language) {
    options_.phrases = std::make_shared<const Phrases>(Phrases::read(language));
}

void ScreenStation::sound(Sound sound) {
    if (sounds_ != nullptr)
        sounds_->play(notes_of(sound));
}

std::vector<std::string> ScreenStation::sound_warnings() const {
    return no_sound_.empty() ? std::vector<std::string>{} : std::vector<std::string>{no_sound_};
}

}  // namespace isoseam
