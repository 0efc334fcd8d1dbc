#include "runner/commands/seat.h"
#include "runner/commands/command.h"

#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <csignal>
#include <filesystem>
#include <tuple>

#include "base/output_file.h"
#include "runner/commands/interrupts.h"
#include "runner/commands/option_faults.h"
#include "runner/commands/session_options.h"
#include "runner/screen/page_screens.h"
#include "runner/station/word_station.h"
#include "stimuli/flicker_safeguards.h"

namespace isoseam {
namespace {

// A participant's keys can steer no more axes than this.
constexpr std::size_t kMostAxesForAPerson = 3;

OutputRules picture_rules(const SeatOptions& options, const Setup& setup) {
    OutputRules rules{options.picture.force, files_read_for(setup)};
    rules.inputs.push_back(options.session_folder);
    return rules;
}

ScreenOptions screen_options(const SeatOptions& options, const Setup& setup) {
    ScreenOptions screen;
    screen.picture = options.picture.path;
    screen.picture_rules = picture_rules(options, setup);
    screen.latency_ms = options.latency_ms;
    screen.despite_unsynchronised = despite_of(options).count(Despite::unsynchronised) > 0;
    screen.keys = parse_key_set(options.keys);
    if (!options.knob.empty())
        screen.knob = parse_knob(options.knob);
    screen.sounds = options.sounds;
    screen.text_size = parse_text_size(options.text_size);
    const std::string& window = options.screens.window;
    screen.full_screen = window.empty();
    if (!window.empty())
        std::tie(screen.window_width_px, screen.window_height_px) = parse_window_size(window);
    screen.screen_of_source = options.screens.screen_of_source(setup.protocol().rig.sources.size());
    return screen;
}

// Whether the protocol has flicker, or tasks that show something for a limited time.
bool is_timed_by_frames(const Protocol& protocol) {
    return protocol.flicker ||
           std::any_of(protocol.blocks.begin(), protocol.blocks.end(), [](const Block& block) {
               const auto* task = std::get_if<TaskPlan>(&block.plan);
               return task != nullptr && task->shown_s > 0.0;
           });
}

// The reader of the protocol has checked what the protocol must say of its flicker. What is left is the
// experimenter's word.
void check_flicker(const Protocol& protocol, bool acknowledged) {
    if (!protocol.flicker)
        return;
    const FlickerPlan& plan = *protocol.flicker;
    const FlickerExposure exposure{plan.frequency_hz, 1.0, protocol.field.size, plan.longest_s, plan.onset_s};
    const FlickerSafeguards provided{true, plan.largest_field, plan.longest_s, acknowledged};
    std::vector<Fault> faults;
    for (const MissingSafeguard& missing : missing_safeguards(exposure, provided)) {
        const bool word = missing.kind == MissingSafeguard::Kind::acknowledgement;
        faults.push_back({protocol.file, 0, 0, "flicker", missing.found,
                          word
                              ? "if your ethics board approves, somebody stays in the room and knows what to "
                                "do, say --acknowledge-flicker"
                              : missing.remedy});
    }
    refuse(faults);
}

// A picture that cannot be written is found out now, and not in front of the participant.
void check_picture(const SeatOptions& options, const Setup& setup) {
    const std::string& path = options.picture.path;
    if (path.empty())
        return;
    options.picture.check(picture_rules(options, setup).inputs);
    const std::filesystem::path parent = std::filesystem::absolute(path).parent_path();
    if (access(parent.c_str(), W_OK) != 0) {
        throw MachineError(
            fmt::format("the picture '{}' cannot be written: its folder is not there, or not yours to write",
                        path),
            "make the folder, or name another file with --picture");
    }
}

void check_words(const SeatOptions& options) {
    std::vector<Fault> faults;
    const auto note = [&](const auto& parse, const std::string& words) {
        collect_faults(faults, [&] { static_cast<void>(parse(words)); });
    };
    note(parse_key_set, options.keys);
    note(parse_text_size, options.text_size);
    if (!options.knob.empty())
        note(parse_knob, options.knob);
    refuse(faults);
}

// Names the gamepads whose buttons are not known and which are not the knob either.
std::vector<std::string> unused_gamepads(const VideoSystem& video, const std::optional<KnobAxis>& knob) {
    std::vector<std::string> names;
    for (const InputDevice& device : video.input_devices()) {
        if (!device.is_gamepad && !(knob && knob->device == device.number))
            names.push_back(device.name);
    }
    return names;
}

void append(std::vector<std::string>& to, const std::vector<std::string>& from) {
    to.insert(to.end(), from.begin(), from.end());
}

// Refuses options that only a screen's station can follow, so that they are not left out in silence.
void check_headless(const SeatOptions& options) {
    const SeatOptions usual;
    std::vector<Fault> faults;
    const auto needs_screen = [&](bool given, const char* option) {
        if (given)
            faults.push_back({"", 0, 0, option, "means nothing without a screen",
                              "leave it out, or leave --headless out"});
    };
    needs_screen(options.keys != usual.keys, "--keys");
    needs_screen(options.knob != usual.knob, "--knob");
    needs_screen(options.sounds != usual.sounds, "--sounds");
    needs_screen(options.text_size != usual.text_size, "--text-size");
    refuse(faults);
}

}  // namespace

std::set<Despite> despite_of(const SeatOptions& options) {
    std::set<Despite> despite;
    for (const std::string& word : options.despite)
        despite.insert(parse_despite(word));
    return despite;
}

void add_seat_options(Command* command, SeatOptions& options) {
    options.screens.add_to(command);
    command->add_flag("--headless", options.headless,
                      "no screen: read words such as 'left' and 'accept' from standard input");
    command
        ->add_option("--despite", options.despite,
                     "go on although: expired, estimated, resolution, refresh, unsynchronised (recorded as a "
                     "warning)")
        ->allow_extra_args(false);
    command
        ->add_option(
            "--display-latency", options.latency_ms,
            "milliseconds from a frame's time to its light, if you have measured them (else recorded "
            "as not known)")
        ->check(within(0.0, 1000.0));
    command->add_flag("--acknowledge-flicker", options.flicker_acknowledged,
                      "this protocol flickers: your ethics board approves, and somebody stays in the room");
    command->add_option("--keys", options.keys,
                        "which hand steers: right-hand (arrow keys), left-hand (letters at the left of the "
                        "keyboard) or both (usual)");
    command->add_option(
        "--knob", options.knob,
        "DEVICE:AXIS of a knob (isoseam session devices): moves the axis moved last, one fine "
        "step for each hundredth of the knob's travel, a coarse one with Shift");
    command->add_flag("--sounds", options.sounds,
                      "short, soft and quiet sounds, which startle nobody; usually none");
    command->add_option("--text-size", options.text_size,
                        "of the pages to read: normal (usual), large (1.4 times) or largest (1.8 times)");
    options.picture.add_to(command, "save the first field, as drawn, as a PNG file");
}

std::vector<std::string> check_before_opening(const SeatOptions& options, const Setup& setup) {
    if (options.headless)
        check_headless(options);
    for (const Condition& condition : setup.protocol().conditions) {
        if (options.headless || condition.axes.size() <= kMostAxesForAPerson)
            continue;
        throw InputError(
            Fault{setup.protocol().file, 0, 0,
                  setup.protocol().blocks[static_cast<std::size_t>(condition.block)].key + "adjustment.axes",
                  fmt::format("{} axes, but there are keys for three", condition.axes.size()),
                  "let the participant adjust at most three axes at a time"});
    }
    check_flicker(setup.protocol(), options.flicker_acknowledged);
    check_picture(options, setup);
    check_words(options);
    return check_validity(setup, today(), despite_of(options));
}

ExitStatus with_seat(const Setup& setup, const SeatOptions& options, const Dither& dither,
                     const Placement& placement, std::vector<std::string> warnings,
                     const RunOnStation& session) {
    ScreenOptions screen = screen_options(options, setup);
    screen.dither = dither;
    screen.placement = placement;
    check_placement(screen.placement, setup, screen.screen_of_source);
    leave_at_once_when_interrupted();
    if (options.headless) {
        WordStation station(setup, STDIN_FILENO);
        warnings.emplace_back("run without a screen: nothing was shown");
        return session(station, warnings);
    }
    VideoSystem video;
    ScreenStation station(setup, video, screen);
    append(warnings, check_shared_screens(setup, screen.screen_of_source));
    append(warnings, check_screens(setup, station, screen.full_screen, despite_of(options)));
    append(warnings, station.compositor_warnings());
    if (is_timed_by_frames(setup.protocol()) || dither.kind == DitherKind::noise) {
        station.check_timing();
        append(warnings, check_clocks(station.screens(), despite_of(options)));
    }
    append(warnings, station.sound_warnings());
    append(warnings, gamepad_warnings(unused_gamepads(video, screen.knob)));
    return session(station, warnings);
}

}  // namespace isoseam
