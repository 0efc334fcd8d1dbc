// isoseam session: run one with a person, or rehearse it with simulated observers.

#include <fmt/format.h>
#include <unistd.h>

#include <memory>
#include <optional>
#include <random>

#include "results_schema/session_log.h"
#include "runner/command_line.h"
#include "runner/person_station.h"
#include "runner/placement_command.h"
#include "runner/preflight.h"
#include "runner/resume_command.h"
#include "runner/session_flow.h"
#include "runner/session_options.h"
#include "runner/simulated_station.h"

namespace isoseam {
namespace {

struct RunOptions {
    ProtocolOptions protocol;
    std::string participant;
    std::string out = "sessions";
    std::optional<std::uint64_t> seed;
    SeatOptions seat;
    std::string dither = "ordered";
    std::string placement;
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

std::uint64_t choose_seed(const std::optional<std::uint64_t>& asked, const Protocol& protocol) {
    if (asked)
        return *asked;
    if (protocol.seed)
        return *protocol.seed;
    std::random_device device;
    return (std::uint64_t{device()} << 32U) | device();
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

void check_participant(const std::string& code) {
    if (!is_participant_code(code)) {
        throw InputError(Fault{
            "", 0, 0, "--participant", fmt::format("'{}' is not a participant code", code),
            "write 1 to 32 letters (A to Z), digits, '-' or '_', and nothing that identifies a person"});
    }
}

ExitStatus run(const RunOptions& options, bool json) {
    const Setup setup = options.protocol.setup();
    check_participant(options.participant);
    const std::vector<std::string> warnings = check_before_opening(options.seat, setup);
    check_space(options.out, free_bytes(options.out));
    const Placement placement = options.placement.empty() ? Placement{} : read_placement(options.placement);
    const std::uint64_t seed = choose_seed(options.seed, setup.protocol());
    const Dither dither{.kind = parse_dither(options.dither), .key = seed};
    return with_seat(setup, options.seat, dither, placement, warnings,
                     [&](Station& station, const std::vector<std::string>& all) {
                         return run_on(station, setup, options, seed, all, json);
                     });
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
    add_seat_options(command, options->seat);
    command->add_option(
        "--dither", options->dither,
        "light between two codes: ordered (a fixed pattern, usual), noise (new in each frame) or "
        "none");
    command->add_option("--placement", options->placement,
                        "file that 'isoseam session place' made: where the field stands on each screen");
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
    add_resume_commands(*session, context);
}

}  // namespace isoseam
