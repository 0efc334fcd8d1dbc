#include "runner/screen_station.h"

#include <algorithm>

namespace isoseam {

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
        PresenterOptions presenter;
        presenter.screen = screen;
        presenter.full_screen = options_.full_screen;
        presenter.width_px = options_.window_width_px;
        presenter.height_px = options_.window_height_px;
        presenter.title = "Isoseam: " + setup_.protocol().title;
        Window window;
        window.screen = screen;
        window.presenter = std::make_unique<Presenter>(video_, presenter);
        const ScreenInfo& info = window.presenter->info();
        window.layout = std::make_unique<FieldLayout>(
            setup_.protocol().field, viewing_geometry(setup_, source, info.width_px, info.height_px));
        windows_.push_back(std::move(window));
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

std::vector<SourceRecord> ScreenStation::sources() const {
    std::vector<SourceRecord> records;
    for (int source = 0; source < setup_.source_count(); ++source) {
        SourceRecord record;
        record.name = setup_.protocol().rig.sources[static_cast<std::size_t>(source)].name;
        record.screen = options_.screen_of_source[static_cast<std::size_t>(source)];
        record.bits = window_of_source(source).presenter->info().bits;
        records.push_back(record);
    }
    return records;
}

std::vector<ScreenRecord> ScreenStation::screens() const {
    std::vector<ScreenRecord> records;
    for (const Window& window : windows_) {
        const ScreenInfo& info = window.presenter->info();
        records.push_back({info.index, info.name, info.width_px, info.height_px, info.refresh_hz, info.bits,
                           info.video_driver, info.renderer, info.gl_version});
    }
    return records;
}

double ScreenStation::show_field(const FieldLights& lights) {
    const bool keep = !options_.picture.empty() && !picture_saved_;
    double shown_s = 0.0;
    for (Window& window : windows_) {
        window.presenter->keep_read_back(keep);
        const FieldPicture picture = composer_.picture(*window.layout, window.presenter->info().bits, lights,
                                                       [&](int source) { return lit_by(window, source); });
        shown_s = window.presenter->show(picture);
    }
    if (keep) {
        write_png(window_of_source(field_source_).presenter->read_back(), options_.picture);
        for (Window& window : windows_)
            window.presenter->keep_read_back(false);
        picture_saved_ = true;
    }
    return shown_s;
}

void ScreenStation::show_page(const Instruction& instruction) {
    for (Window& window : windows_) {
        Page page;
        if (lit_by(window, field_source_)) {
            page.heading = instruction.heading;
            page.paragraphs = instruction.paragraphs;
            page.foot = instruction.foot;
            page.mirrored = setup_.protocol().rig.mirrored[static_cast<std::size_t>(field_source_)];
            page.background_code =
                composer_.background(setup_.surround(field_source_), window.presenter->info().bits);
        }
        window.presenter->show(page);
    }
}

void ScreenStation::show_adaptation(double left) {
    for (Window& window : windows_) {
        Page page;
        if (lit_by(window, field_source_)) {
            page.background_code =
                composer_.background(setup_.adaptation(field_source_), window.presenter->info().bits);
            page.progress = left;
        }
        window.presenter->show(page);
    }
}

Action ScreenStation::wait(double timeout_s) {
    const double until_s = now_s() + timeout_s;
    for (;;) {
        const std::optional<InputEvent> event = video_.next_event(std::max(0.0, until_s - now_s()));
        if (!event)
            return {};
        const Action action = input_.action(*event);
        if (action.kind != Action::Kind::none)
            return action;
    }
}

void ScreenStation::forget_presses() {
    while (const std::optional<InputEvent> event = video_.next_event(0.0))
        static_cast<void>(
            input_.action(*event));  // a stick that came back to the middle meanwhile is free again
}

}  // namespace isoseam
