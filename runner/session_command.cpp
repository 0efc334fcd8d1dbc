// isoseam session: run one with a person, or rehearse it with simulated observers.

#include <fmt/format.h>
#include <unistd.h>

#include <csignal>
#include <filesystem>
#include <memory>
#include <optional>
#include <random>
#include <tuple>

#include "results_schema/session_log.h"
#include "runner/command_line.h"
#include "runner/placement_command.h"
#include "runner/preflight.h"
#include "runner/screen_station.h"
#include "runner/session_flow.h"
#include "runner/session_options.h"
#include "runner/simulated_station.h"
#include "runner/window_size.h"
#include "runner/word_station.h"
#include "stimuli/flicker_safeguards.h"

namespace isoseam {
namespace {

struct RunOptions {
    ProtocolOptions protocol;
    std::string participant;
    std::string out = "sessions";
    std::optional<std::uint64_t> seed;
    std::string window;
    std::vector<int> screens;
    bool headless = false;
    std::vector<std::string> despite;
    std::string picture;
    std::optional<double> latency_ms;
    std::string dither = "ordered";
    std::string placement;
    bool flicker_acknowledged = false;
};

struct RehearseOptions {
    ProtocolOptions protocol;
    std::string out = "rehearsals";
    int observers = 1;
    std::uint64_t seed = 1;
    SettingNoise noise;
    std::string dither = "ordered";
    bool verbose = false;
};

// More than the participant's keys can steer.
constexpr std::size_t kMostAxesForAPerson = 3;

// Ctrl-C and a polite kill: every accepted setting is on disk already, so there is nothing left to do.
void leave_at_once(int) {
    _exit(static_cast<int>(ExitStatus::interrupted));
}

std::uint64_t choose_seed(const std::optional<std::uint64_t>& asked, const Protocol& protocol) {
    if (asked)
        return *asked;
    if (protocol.seed)
        return *protocol.seed;
    std::random_device device;
    return (std::uint64_t{device()} << 32U) | device();
}

std::set<Despite> despite_of(const RunOptions& options) {
    std::set<Despite> despite;
    for (const std::string& word : options.despite)
        despite.insert(parse_despite(word));
    return despite;
}

ScreenOptions screen_options(const RunOptions& options, const Protocol& protocol) {
    ScreenOptions screen;
    screen.picture = options.picture;
    screen.latency_ms = options.latency_ms;
    screen.dither.kind = parse_dither(options.dither);
    if (!options.placement.empty())
        screen.placement = read_placement(options.placement);
    screen.despite_unsynchronised = despite_of(options).count(Despite::unsynchronised) > 0;
    screen.full_screen = options.window.empty();
    if (!options.window.empty())
        std::tie(screen.window_width_px, screen.window_height_px) = parse_window_size(options.window);
    const std::size_t sources = protocol.rig.sources.size();
    if (options.screens.size() > 1 && options.screens.size() != sources) {
        throw InputError(Fault{"", 0, 0, "--screen",
                               fmt::format("{} screens for {} source(s)", options.screens.size(), sources),
                               "give one for all sources, or one per source in the order of the rig"});
    }
    for (std::size_t i = 0; i < sources; ++i) {
        const std::size_t which = options.screens.size() > 1 ? i : 0;
        screen.screen_of_source.push_back(options.screens.empty() ? 0 : options.screens[which]);
    }
    return screen;
}

// What the protocol must say of its flicker its reader has asked for; what is left is the experimenter's
// word.
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
    if (!faults.empty())
        throw InputError(faults);
}

// Found out now, not in front of the participant.
void check_picture(const std::string& path) {
    if (path.empty())
        return;
    const std::filesystem::path parent = std::filesystem::absolute(path).parent_path();
    if (access(parent.c_str(), W_OK) != 0) {
        throw MachineError(
            fmt::format("the picture '{}' cannot be written: its folder is not there, or not yours to write",
                        path),
            "make the folder, or name another file with --picture");
    }
}

// Everything that must be known before a window opens.
std::vector<std::string> check_before(const RunOptions& options, const Setup& setup) {
    if (!is_participant_code(options.participant)) {
        throw InputError(Fault{
            "", 0, 0, "--participant", fmt::format("'{}' is not a participant code", options.participant),
            "write 1 to 32 letters (A to Z), digits, '-' or '_', and nothing that identifies a person"});
    }
    if (!options.headless && setup.protocol().axes.size() > kMostAxesForAPerson) {
        throw InputError(
            Fault{setup.protocol().file, 0, 0, "adjustment.axes",
                  fmt::format("{} axes, but there are keys for three", setup.protocol().axes.size()),
                  "let the participant adjust at most three axes at a time"});
    }
    check_flicker(setup.protocol(), options.flicker_acknowledged);
    check_picture(options.picture);
    check_space(options.out, free_bytes(options.out));
    return check_validity(setup, today(), despite_of(options));
}

void append(std::vector<std::string>& to, const std::vector<std::string>& from) {
    to.insert(to.end(), from.begin(), from.end());
}

void tell(const std::string& message) {
    fmt::print(stderr, "isoseam: {}\n", message);
}

ExitStatus finish(const SessionOutcome& outcome, const SessionLog& log, bool json) {
    if (json) {
        print_json(
            {{"folder", log.folder()}, {"finished", outcome.finished}, {"settings", outcome.settings}});
    } else {
        tell(fmt::format("{} setting(s) saved, session {}", outcome.settings,
                         outcome.finished ? "finished" : "left early"));
        fmt::print("{}\n", log.folder());
    }
    return ExitStatus::done;
}

ExitStatus run_on(Station& station, const Setup& setup, const RunOptions& options, std::uint64_t seed,
                  const std::vector<std::string>& warnings, bool json) {
    for (const std::string& warning : warnings)
        tell("warning: " + warning);
    SessionHeader header = describe_session(setup, seed, station);
    for (const std::string& caution : header.cautions)
        tell("note: " + caution);
    header.participant = options.participant;
    header.kind = "session";
    header.started_utc = utc_now();
    SessionLog log = SessionLog::create(options.out, header, Durability::each_event);
    const SessionOutcome outcome = run_session(setup, seed, warnings, station, log, tell);
    return finish(outcome, log, json);
}

ExitStatus run(const RunOptions& options, bool json) {
    const Setup setup = options.protocol.setup();
    std::vector<std::string> warnings = check_before(options, setup);
    ScreenOptions screen = screen_options(options, setup.protocol());
    check_placement(screen.placement, setup, screen.screen_of_source);
    const std::uint64_t seed = choose_seed(options.seed, setup.protocol());
    screen.dither.key = seed;
    std::signal(SIGINT, leave_at_once);
    std::signal(SIGTERM, leave_at_once);
    if (options.headless) {
        WordStation station(setup, STDIN_FILENO);
        warnings.emplace_back("run without a screen: nothing was shown");
        return run_on(station, setup, options, seed, warnings, json);
    }
    VideoSystem video;
    ScreenStation station(setup, video, screen);
    append(warnings, check_shared_screens(setup, screen.screen_of_source));
    append(warnings, check_screens(setup, station, screen.full_screen, despite_of(options)));
    append(warnings, station.compositor_warnings());
    if (setup.protocol().flicker)
        append(warnings, check_clocks(station.screens(), despite_of(options)));
    append(warnings, gamepad_warnings(video.unknown_gamepads()));
    return run_on(station, setup, options, seed, warnings, json);
}

// Order and starting points of one simulated observer; the eye has the rehearsal's own seed and the
// observer's number.
std::uint64_t session_seed(const RehearseOptions& options, int observer) {
    return options.seed + static_cast<std::uint64_t>(observer) - 1;
}

std::string participant_of(int observer) {
    return fmt::format("simulated-{:04}", observer);
}

// One simulated observer's session; the folder.
std::string rehearse_one(const Setup& setup, const RehearseOptions& options, int observer) {
    SimulatedStation station(setup, options.seed, static_cast<std::uint64_t>(observer), options.noise,
                             parse_dither(options.dither));
    const std::uint64_t seed = session_seed(options, observer);
    SessionHeader header = describe_session(setup, seed, station);
    header.participant = participant_of(observer);
    header.kind = "rehearsal";
    header.started_utc = utc_now();
    header.simulated_observer = station.description();
    SessionLog log = SessionLog::create(options.out, header, Durability::at_end);
    const auto setting_saved = [&](int done, int planned) {
        if (options.verbose)
            tell(fmt::format("{} setting {} of {} saved", log.header().session, done, planned));
    };
    run_session(setup, seed, {}, station, log, tell, setting_saved);
    return log.folder();
}

ExitStatus rehearse(const RehearseOptions& options, bool json) {
    const Setup setup = options.protocol.setup();
    check_space(options.out, free_bytes(options.out));
    for (const std::string& caution : setup.cautions(parse_dither(options.dither)))
        tell("note: " + caution);
    nlohmann::json folders = nlohmann::json::array();
    const bool progress = isatty(STDERR_FILENO) != 0 && !options.verbose;
    for (int observer = 1; observer <= options.observers; ++observer) {
        folders.push_back(rehearse_one(setup, options, observer));
        if (progress)
            fmt::print(stderr, "\rrehearsed {} of {}", observer, options.observers);
        if (!json)
            fmt::print("{}\n", folders.back().get<std::string>());
    }
    if (progress)
        fmt::print(stderr, "\n");
    if (json)
        print_json({{"folders", folders}, {"seed", options.seed}});
    return ExitStatus::done;
}

void add_run(CLI::App* session, CommandContext& context) {
    CLI::App* command = session->add_subcommand("run", "a session with a participant");
    auto options = std::make_shared<RunOptions>();
    options->protocol.add_to(command);
    command
        ->add_option("--participant", options->participant,
                     "the participant's code (nothing that identifies a person)")
        ->required();
    command->add_option("--out", options->out, "folder for sessions (sessions)");
    command
        ->add_option("--seed", options->seed, "seed of order and starting points (the protocol's, or drawn)")
        ->check(whole_number());
    command->add_option("--window", options->window, "show in a window of WIDTHxHEIGHT pixels, to try out");
    command
        ->add_option("--screen", options->screens,
                     "number of the screen, from 0; once per source for two screens")
        ->allow_extra_args(false);
    command->add_flag("--headless", options->headless,
                      "no screen: read words such as 'left' and 'accept' from standard input");
    command
        ->add_option(
            "--despite", options->despite,
            "go on although: expired, estimated, resolution, refresh, unsynchronised (recorded as a warning)")
        ->allow_extra_args(false);
    command
        ->add_option(
            "--display-latency", options->latency_ms,
            "milliseconds from a frame's time to its light, if you have measured them (else recorded as not "
            "known)")
        ->check(CLI::Range(0.0, 1000.0));
    command->add_option(
        "--dither", options->dither,
        "light between two codes: ordered (a fixed pattern, usual), noise (new in each frame) or "
        "none");
    command->add_option("--placement", options->placement,
                        "file that 'isoseam session place' made: where the field stands on each screen");
    command->add_flag("--acknowledge-flicker", options->flicker_acknowledged,
                      "this protocol flickers: your ethics board approves, and somebody stays in the room");
    command->add_option("--picture", options->picture, "save the first field, as drawn, as a PNG file");
    command->footer(
        "The participant's keys:  arrow keys and PageUp, PageDown move the light, Shift makes larger steps, "
        "the mouse wheel moves\n"
        "the axis moved last (Tab: the next), the space bar accepts, Escape pauses, and a second Escape "
        "leaves.\n"
        "Gamepad: d-pad and shoulder buttons, stick and triggers for larger steps, A accepts, Back pauses.\n"
        "Prints the session's folder last. What was accepted is on disk before the next light shows.");
    finish_command(command, context, [options, &context] { return run(*options, context.json); });
}

void add_rehearse(CLI::App* session, CommandContext& context) {
    CLI::App* command =
        session->add_subcommand("rehearse", "the same with simulated observers, without a screen");
    auto options = std::make_shared<RehearseOptions>();
    options->protocol.add_to(command);
    command->add_option("--observers", options->observers, "how many (1)")->check(CLI::Range(1, 1'000'000));
    command
        ->add_option("--seed", options->seed,
                     "seed of eyes and noise (1); order and starting points of observer n: seed + n - 1")
        ->check(whole_number());
    command->add_option("--out", options->out, "folder for the sessions (rehearsals)");
    command->add_option("--noise-l", options->noise.l, "SD of a setting in L cone contrast (0.005)")
        ->check(CLI::Range(0.0, 1.0));
    command->add_option("--noise-m", options->noise.m, "SD of a setting in M cone contrast (0.005)")
        ->check(CLI::Range(0.0, 1.0));
    command->add_option("--noise-s", options->noise.s, "SD of a setting in S cone contrast (0.02)")
        ->check(CLI::Range(0.0, 1.0));
    command->add_option("--dither", options->dither, "ordered (usual), noise or none");
    command->add_flag("--verbose", options->verbose, "say each setting as soon as it is saved");
    finish_command(command, context, [options, &context] { return rehearse(*options, context.json); });
}

}  // namespace

void add_session_command(CLI::App& app, CommandContext& context) {
    CLI::App* session = app.add_subcommand("session", "run a protocol with a participant, or rehearse it");
    session->require_subcommand(1);
    add_run(session, context);
    add_place_command(*session, context);
    add_rehearse(session, context);
}

}  // namespace isoseam
