// isoseam session place: lines up the halves of a rig, and keeps where they stand.

#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <nlohmann/json.hpp>

#include "analysis/figures/gnuplot.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/command.h"
#include "runner/commands/output_option.h"
#include "runner/commands/screen_choice.h"
#include "runner/commands/session_options.h"
#include "runner/screen/field_composer.h"
#include "stimuli/gl/presenter.h"
#include "stimuli/placement_picture.h"

namespace isoseam {
namespace {

// The light of the lines, as a share of each primary's full light. It can be seen in the dark, and is too dim
// to dazzle anybody.
constexpr double kLineLight = 0.02;
constexpr double kFineStepPx = 1.0;
constexpr double kCoarseStepPx = 10.0;
constexpr double kWaitSeconds = 0.5;

struct Options {
    ProtocolOptions protocol;
    OutputOption out;
    std::string from;
    ScreenChoice screens;
};

// One screen, with the sources that light it.
struct PlacedScreen {
    std::unique_ptr<Presenter> presenter;
    std::vector<int> sources;
    ViewingGeometry viewing;
};

class Placing {
  public:
    Placing(const Setup& setup, VideoSystem& video, const std::vector<int>& screens,
            const std::string& window, const Placement& from)
        : setup_(setup), video_(video) {
        for (std::size_t source = 0; source < screens.size(); ++source)
            add(static_cast<int>(source), screens[source], window, from);
    }

    // Returns false when the experimenter left without saving.
    bool run() {
        for (PlacedScreen& screen : screens_)
            show(screen);
        for (;;) {
            const std::optional<InputEvent> event = video_.next_event(kWaitSeconds);
            if (!event)
                continue;
            if (event->kind == InputEvent::Kind::window_closed)
                return false;
            if (event->kind != InputEvent::Kind::key_down)
                continue;
            if (event->name == "Escape")
                return false;
            if (event->name == "Space" || event->name == "Return")
                return true;
            if (event->name == "Tab" && !event->repeat)
                moving_ = (moving_ + 1) % screens_.size();
            else
                move(*event);
        }
    }

    Placement placement(const std::string& file) const {
        Placement placement;
        placement.file = file;
        for (const PlacedScreen& screen : screens_) {
            for (const int source : screen.sources) {
                placement.sources[name(source)] = {screen.viewing.centre_x_px, screen.viewing.centre_y_px,
                                                   screen.viewing.width_px, screen.viewing.height_px};
            }
        }
        return placement;
    }

  private:
    const std::string& name(int source) const {
        return setup_.protocol().rig.sources[static_cast<std::size_t>(source)].name;
    }

    void add(int source, int index, const std::string& window, const Placement& from) {
        for (PlacedScreen& screen : screens_) {
            if (screen.presenter->info().index == index) {
                screen.sources.push_back(source);
                return;
            }
        }
        PresenterOptions presenter;
        presenter.screen = index;
        presenter.full_screen = window.empty();
        if (!window.empty())
            std::tie(presenter.width_px, presenter.height_px) = parse_window_size(window);
        presenter.title = "Isoseam: where the field stands";
        PlacedScreen screen;
        screen.presenter = std::make_unique<Presenter>(video_, presenter);
        screen.sources = {source};
        const ScreenInfo& info = screen.presenter->info();
        screen.viewing = viewing_geometry(setup_, source, info.width_px, info.height_px, from);
        screens_.push_back(std::move(screen));
    }

    void show(PlacedScreen& screen) {
        const DisplayModel& display = setup_.solver(screen.sources.front()).display();
        const LinearDrive light{Eigen::VectorXd::Constant(display.primary_count(), kLineLight)};
        const int bits = screen.presenter->info().bits;
        const FieldLayout layout(setup_.protocol().field, screen.viewing);
        screen.presenter->show(placement_picture(layout, bits, region_light(light, display, bits).code));
    }

    // A step that would push the field off its screen is not taken.
    void move(const InputEvent& event) {
        PlacedScreen& screen = screens_[moving_];
        const double step = event.shift ? kCoarseStepPx : kFineStepPx;
        ViewingGeometry moved = screen.viewing;
        // The field moves as the observer sees it: in a mirror, left is right.
        const double across = moved.mirrored ? -step : step;
        moved.centre_x_px += event.name == "Right" ? across : event.name == "Left" ? -across : 0.0;
        moved.centre_y_px += event.name == "Down" ? step : event.name == "Up" ? -step : 0.0;
        try {
            static_cast<void>(FieldLayout(setup_.protocol().field, moved));
        } catch (const InputError&) {
            return;
        }
        screen.viewing = moved;
        show(screen);
    }

    const Setup& setup_;
    VideoSystem& video_;
    std::vector<PlacedScreen> screens_;
    std::size_t moving_ = 0;
};

ExitStatus run(const Options& options, bool json) {
    const Setup setup = options.protocol.setup();
    const std::vector<int> screens = options.screens.screen_of_source(setup.protocol().rig.sources.size());
    std::vector<std::string> inputs = files_read_for(setup);
    inputs.push_back(options.from);
    options.out.check(inputs);
    const Placement from = options.from.empty() ? Placement{} : read_placement(options.from);
    VideoSystem video;
    Placing placing(setup, video, screens, options.screens.window, from);
    if (!placing.run()) {
        fmt::print(stderr, "left: nothing was written\n");
        return ExitStatus::interrupted;
    }
    const Placement placement = placing.placement(options.out.path);
    options.out.write(placement_text(placement), inputs);
    if (json) {
        nlohmann::json places = nlohmann::json::object();
        for (const auto& [name, place] : placement.sources)
            places[name] = {{"centre", {place.x_px, place.y_px}},
                            {"screen", {place.width_px, place.height_px}}};
        print_json({{"file", options.out.path}, {"sources", places}});
    } else {
        fmt::print("{}\n", options.out.path);
    }
    return ExitStatus::done;
}

}  // namespace

void add_place_command(Command& session) {
    const auto options = std::make_shared<Options>();
    Command* command = session.add_subcommand(
        "place", "line the field up on the screens of a rig, and keep where it stands");
    options->protocol.add_to(command);
    options->out.add_to(command, "file to write, for session run --placement")->required();
    command->add_option("--from", options->from, "file to begin with (else the middle of each screen)");
    options->screens.add_to(command);
    command->footer(
        "Shows the field's outlines and a ruler with a tick at every degree, in dim lines on black.\n"
        "Arrow keys move the field by a pixel, with Shift by ten, as the observer sees it; Tab goes to the\n"
        "other screen; the space bar or Return saves, Escape leaves. Line the outlines of both screens up\n"
        "where they are seen through each other; where a filter covers one half, put the line on its edge.");
    finish_command(command, options, run);
}

}  // namespace isoseam
