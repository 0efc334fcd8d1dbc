// isoseam session run: a session with a participant.

#include <fmt/format.h>

#include <memory>
#include <optional>
#include <random>

#include "base/calendar.h"
#include "protocols/course/start_reach.h"
#include "results_schema/session_log.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/command.h"
#include "runner/commands/seat.h"
#include "runner/commands/session/desk_options.h"
#include "runner/commands/session/devices_command.h"
#include "runner/commands/session/resume_command.h"
#include "runner/commands/session_options.h"
#include "runner/screen/preflight.h"
#include "runner/session/session_flow.h"
#include "runner/station/shown_records.h"

namespace isoseam {
namespace {

struct RunOptions {
    ProtocolOptions protocol;
    std::string participant;
    std::optional<double> age_years;
    std::string language;
    std::string out = "sessions";
    std::optional<std::uint64_t> seed;
    SeatOptions seat;
    std::string dither = "ordered";
    std::string placement;
    DeskOptions desk;
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
    tell_each("warning: ", warnings);
    SessionHeader header = describe_session(setup, seed, station);
    tell_each("note: ", header.cautions);
    header.participant = options.participant;
    header.kind = "session";
    header.started_utc = utc_now();
    SessionLog log = SessionLog::create(options.out, header, Durability::each_event);
    SessionOutcome outcome;
    beside_desk(options.desk, desk_session(setup, options.participant, today()), station, log,
                [&](Station& seat) {
                    outcome = run_session(setup, seed, warnings, seat, log, tell, {}, options.language);
                });
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
    const Setup setup = options.protocol.setup(options.age_years);
    check_participant(options.participant);
    check_language(setup.protocol(), "protocol", options.language);
    const std::vector<std::string> warnings = check_before_opening(options.seat, setup);
    check_space(options.out, free_bytes(options.out));
    const Placement placement = options.placement.empty() ? Placement{} : read_placement(options.placement);
    const std::uint64_t seed = choose_seed(options.seed, setup.protocol());
    const Dither dither{.kind = parse_dither(options.dither), .key = seed};
    const int bits = setup.solver(setup.reference_half()).display().calibration().bits;
    check_starts(setup, {bits, dither.kind}, seed, options.participant);
    return with_seat(setup, options.seat, dither, placement, warnings,
                     [&](Station& station, const std::vector<std::string>& all) {
                         return run_on(station, setup, options, seed, all, json);
                     });
}

}  // namespace

void add_run_command(Command& session) {
    Command* command = session.add_subcommand("run", "a session with a participant");
    auto options = std::make_shared<RunOptions>();
    options->protocol.add_to(command);
    command
        ->add_option("--participant", options->participant,
                     "the participant's code (nothing that identifies a person)")
        ->required();
    command->add_option("--age", options->age_years,
                        "the participant's age in years, for protocols that take the observer's age from it");
    command->add_option("--language", options->language,
                        "of the participant's pages, such as de (else the participant is asked where the "
                        "protocol has several)");
    command->add_option("--out", options->out, "folder for sessions (sessions)");
    command
        ->add_option("--seed", options->seed, "seed of order and starting points (the protocol's, or drawn)")
        ->check(whole_number());
    add_seat_options(command, options->seat);
    add_desk_options(command, options->desk);
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
        "Other sets of keys, knobs and large type: --keys, --knob (isoseam session devices), --text-size.\n"
        "Prints the session's folder last. What was accepted is on disk before the next light shows.");
    finish_command(command, options, run);
}

}  // namespace isoseam
