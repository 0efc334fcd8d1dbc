
#include <fmt/format.h>
#include <unistd.h>

#include <csignal>
#include <memory>
#include <nlohmann/json.hpp>
#include <optional>

#include "base/processors.h"
#include "protocols/checks/cautions.h"
#include "runner/commands/all_commands.h"
#include "runner/commands/command.h"
#include "runner/commands/session/resume_command.h"
#include "runner/commands/session_options.h"
#include "runner/rehearsal/rehearsal.h"
#include "runner/rehearsal/rehearsal_summary.h"
#include "runner/screen/preflight.h"

namespace isoseam {
namespace {

constexpr double kPercent = 100.0;

struct RehearseOptions {
    ProtocolOptions protocol;
    RehearsalPlan plan;
    std::optional<double> age_years;
    std::string noise = "cones";
    double lapses_percent = 0.0;
    std::string dither = "ordered";
    bool verbose = false;
};

// Ctrl-C sets this. Sessions that have begun then come to their end, and no further one begins.
std::atomic<bool> stop_asked = false;

void ask_to_stop(int) {
    stop_asked = true;
}

RehearsalPlan plan_of(const RehearseOptions& options) {
    RehearsalPlan plan = options.plan;
    plan.dither = parse_dither(options.dither);
    plan.traits.noise.kind = parse_noise(options.noise);
    plan.traits.lapses = options.lapses_percent / kPercent;
    return plan;
}

// The space that a session usually takes, by its number of trials.
constexpr double kBytesPerSession = 40e3;
constexpr double kBytesPerTrial = 2.5e3;

void require_space(const RehearsalPlan& plan, const Setup& setup) {
    check_space(plan.out, free_bytes(plan.out));
    const double needed =
        plan.observers * (kBytesPerSession + kBytesPerTrial * planned_trials(setup.protocol()));
    const double free = static_cast<double>(free_bytes(plan.out));
    if (!(needed <= free)) {
        constexpr double kMegabyte = 1e6;
        throw MachineError(
            fmt::format("'{}' has {:.0f} MB free, and {} sessions need about {:.0f} MB", plan.out,
                        free / kMegabyte, plan.observers, needed / kMegabyte),
            "free some space, choose another folder with --out, or rehearse with fewer observers");
    }
}

RehearsalListener listener_of(const RehearseOptions& options, bool shows_progress) {
    RehearsalListener listener;
    listener.tell = tell;
    listener.session_done = [=, observers = options.plan.observers](int done) {
        if (shows_progress)
            fmt::print(stderr, "\rrehearsed {} of {}", done, observers);
    };
    if (options.verbose) {
        listener.trial_saved = [](const std::string& session, int done, int planned) {
            tell(fmt::format("{} trial {} of {} saved", session, done, planned));
        };
    }
    return listener;
}

void print_result(const std::vector<RehearsedSession>& sessions, const Setup& setup,
                  const RehearsalPlan& plan, bool json) {
    std::vector<SessionTally::Sums> sums;
    nlohmann::json folders = nlohmann::json::array();
    for (const RehearsedSession& session : sessions) {
        sums.push_back(session.sums);
        folders.push_back(session.folder);
    }
    if (json) {
        nlohmann::json result{{"folders", folders}, {"seed", plan.seed}};
        if (!sums.empty())
            result["summary"] = to_json(summarise(setup.protocol(), sums));
        print_json(result);
        return;
    }
    for (const RehearsedSession& session : sessions)
        fmt::print("{}\n", session.folder);
    if (!sums.empty())
        fmt::print("\n{}", rehearsal_summary_text(summarise(setup.protocol(), sums)));
}

ExitStatus run(const RehearseOptions& options, bool json) {
    const Setup setup = options.protocol.setup_for_anyone(options.age_years);
    const RehearsalPlan plan = plan_of(options);
    require_space(plan, setup);
    tell_each("note: ", caution_texts(cautions_of(setup, plan.dither)));
    const bool shows_progress = isatty(STDERR_FILENO) != 0 && !options.verbose;
    std::signal(SIGINT, ask_to_stop);
    std::signal(SIGTERM, ask_to_stop);
    const std::vector<RehearsedSession> sessions =
        rehearse(setup, plan, listener_of(options, shows_progress), stop_asked);
    if (shows_progress)
        fmt::print(stderr, "\n");
    print_result(sessions, setup, plan, json);
    if (static_cast<int>(sessions.size()) == plan.observers)
        return ExitStatus::done;
    tell(fmt::format("stopped after {} of {} sessions, which are whole", sessions.size(), plan.observers));
    return ExitStatus::interrupted;
}

void add_observer_options(Command* command, RehearseOptions& options) {
    SimulatedTraits& traits = options.plan.traits;
    const OptionRule share = within(0.0, 1.0);
    command->add_option(
        "--noise", options.noise,
        "of settings and answers: cones (by --noise-l, -m, -s) or ellipses (MacAdam 1942, the "
        "one nearest to each reference)");
    command->add_option("--noise-l", traits.noise.l, "SD of a setting in L cone contrast (0.005)")
        ->check(share);
    command->add_option("--noise-m", traits.noise.m, "SD of a setting in M cone contrast (0.005)")
        ->check(share);
    command->add_option("--noise-s", traits.noise.s, "SD of a setting in S cone contrast (0.02)")
        ->check(share);
    command
        ->add_option("--noise-luminance", traits.noise.luminance,
                     "with ellipses: relative SD along luminance (0.01)")
        ->check(within(1e-6, 1.0));
    command->add_option("--lapses", options.lapses_percent, "answers given at random, in per cent (0)")
        ->check(within(0.0, kPercent));
    command
        ->add_option("--drift", traits.drift_per_hour,
                     "how far aim and criterion wander in an hour, in SDs of the noise (0)")
        ->check(within(0.0, 100.0));
}

}  // namespace

void add_rehearse_command(Command& session) {
    Command* command =
        session.add_subcommand("rehearse", "the same with simulated observers, without a screen");
    auto options = std::make_shared<RehearseOptions>();
    RehearsalPlan& plan = options->plan;
    plan.out = "rehearsals";
    plan.threads = static_cast<int>(usable_processors());
    options->protocol.add_to(command);
    command->add_option("--observers", plan.observers, "how many (1)")->check(within(1, 1'000'000));
    command
        ->add_option("--seed", plan.seed,
                     "seed of eyes and noise (1); order and starting points of observer n: seed + n - 1")
        ->check(whole_number());
    command->add_option("--out", plan.out, "folder for the sessions, without a rehearsal in it (rehearsals)");
    command->add_option("--age", options->age_years,
                        "the observers' age in years, for protocols that take it from the participant (32)");
    command
        ->add_option("--threads", plan.threads,
                     "sessions side by side (as many as there are processors for this program); never "
                     "changes a result")
        ->check(within(1, 1024));
    add_observer_options(command, *options);
    command->add_option("--dither", options->dither, "ordered (usual), noise or none");
    command->add_flag("--verbose", options->verbose, "say each trial as soon as it is saved");
    command->footer(
        "Prints the sessions' folders, then what the rehearsal says of the sessions to "
        "come; with --json both.\n"
        "The same protocol, seed and observers give the same bytes.");
    finish_command(command, options, run);
}

}  // namespace isoseam
