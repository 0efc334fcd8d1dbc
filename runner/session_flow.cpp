#include "runner/session_flow.h"

#include <fmt/format.h>

#include <algorithm>

#include "runner/flicker_presentation.h"

namespace isoseam {
namespace {

// How often the countdown bar of an adaptation is drawn anew.
constexpr double kCountdownStepSeconds = 0.1;
// Less than this left of an adaptation is none: a clock in doubles may round a shorter wait away.
constexpr double kClockTickSeconds = 1e-6;
// How long one wait for a response lasts before the flow looks around again.
constexpr double kWaitSeconds = 0.5;
// How long between two looks at whether an interruption is over: each may open a window anew.
constexpr double kMendingSeconds = 1.0;

// Reasons in the record.
const std::string kParticipant = "participant";
const std::string kMended = "mended, and the participant went on";

// One session in progress: the log's clock, the station, and the helpers that every part of the flow uses.
class Flow {
  public:
    Flow(const Setup& setup, std::uint64_t seed, Station& station, SessionLog& log,
         const std::function<void(const std::string&)>& report, const SettingSaved& setting_saved,
         const Resumption* resumption = nullptr)
        : setup_(setup),
          protocol_(setup.protocol()),
          seed_(seed),
          station_(station),
          log_(log),
          report_(report),
          setting_saved_(setting_saved),
          resumption_(resumption),
          started_s_(station.now_s() - (resumption == nullptr ? 0.0 : resumption->last_event_s)),
          settings_(resumption == nullptr ? 0 : static_cast<int>(resumption->trials_done.size())) {}

    SessionOutcome run(const std::vector<std::string>& warnings) {
        if (log_.events_written() == 0)
            record("session_started", nlohmann::json::object());
        if (resumption_ != nullptr)
            record("session_resumed", {{"resumed_utc", resumption_->resumed_utc}, {"settings", settings_}});
        for (const std::string& warning : warnings)
            record("warning", {{"text", warning}});
        const bool finished =
            ask_exclusion() && show_pages() && adapt(protocol_.adaptation_s) && run_trials();
        record("session_ended", {{"reason", finished ? "finished" : "left"}, {"settings", settings_}});
        if (finished)
            show_closing();
        return {finished, settings_};
    }

  private:
    // Writes an event; on failure keeps asking until it can be written, so that nothing accepted is lost.
    void record(const std::string& kind, const nlohmann::json& data) {
        const double time_s = station_.now_s() - started_s_;
        for (;;) {
            try {
                log_.append(time_s, kind, data);
                return;
            } catch (const MachineError& error) {
                report_(error.what());
                station_.show_page(
                    {"Please call the experimenter",
                     {"The computer cannot save at the moment. Please wait until this has been mended.",
                      "If the session is left now, your last match cannot be kept."},
                     "When it has been mended: press the space bar to go on"});
                if (!wait_for_accept())
                    throw;
            }
        }
    }

    // False when the station gives up (escape twice while nothing can be saved).
    bool wait_for_accept() {
        int escapes = 0;
        for (;;) {
            const Action action = station_.wait(kWaitSeconds);
            if (action.kind == Action::Kind::accept)
                return true;
            if (action.kind == Action::Kind::escape && ++escapes == 2)
                return false;
            if (action.kind == Action::Kind::interrupted)
                tell_interruption(action.reason);
        }
    }

    void tell_interruption(const std::string& reason) {
        report_(fmt::format("the session is paused: {}; mend that, and let the participant go on", reason));
    }

    // What ends a wait on whatever page or light.
    static bool stops(const Action& action) {
        return action.kind == Action::Kind::escape || action.kind == Action::Kind::interrupted;
    }

    // Whatever the participant did or saw meanwhile does not count. True: it is mended; false: the
    // participant leaves.
    bool wait_until_mended() {
        while (station_.interruption()) {
            if (station_.wait(kMendingSeconds).kind == Action::Kind::escape)
                return false;
        }
        station_.forget_presses();
        return true;
    }

    // Until the participant goes on (true) or leaves; through any further interruption.
    bool wait_on_pause_page(bool interrupted) {
        for (;;) {
            if (interrupted) {
                station_.show_page(
                    {"Please wait",
                     {"The screen or the keyboard was disturbed. Please call the experimenter.",
                      "Everything that you have accepted is saved."},
                     ""});
                if (!wait_until_mended())
                    return false;
            }
            station_.show_page({"Paused",
                                {"Take your time. Everything that you have accepted is saved."},
                                "Space bar: go on        Escape: leave the session"});
            Action action;
            while (action.kind != Action::Kind::accept && !stops(action))
                action = station_.wait(kWaitSeconds);
            if (action.kind != Action::Kind::interrupted)
                return action.kind == Action::Kind::accept;
            interrupted = true;
            tell_interruption(action.reason);
        }
    }

    // The pause after a first escape or an interruption. True: go on; false: leave.
    bool pause(const Action& action) {
        const double from_s = station_.now_s();
        const bool interrupted = action.kind == Action::Kind::interrupted;
        if (interrupted)
            tell_interruption(action.reason);
        record("paused", {{"reason", interrupted ? action.reason : kParticipant}});
        const bool goes_on = wait_on_pause_page(interrupted);
        if (goes_on)
            record("resumed", {{"reason", interrupted ? kMended : kParticipant}});
        station_.forget_presses();
        paused_s_ += station_.now_s() - from_s;
        return goes_on;
    }

    // Shows a page until accepted. False: the participant leaves.
    bool show_until_accepted(const Instruction& page) {
        station_.show_page(page);
        for (;;) {
            const Action action = station_.wait(kWaitSeconds);
            if (action.kind == Action::Kind::accept)
                return true;
            if (stops(action)) {
                if (!pause(action))
                    return false;
                station_.show_page(page);
            }
        }
    }

    // Before anything flickers. What is answered is not recorded: only that the session was left.
    bool ask_exclusion() {
        if (!protocol_.flicker)
            return true;
        record("exclusion_asked", {{"question", protocol_.flicker->exclusion}});
        station_.show_page(
            {"Before we begin",
             {protocol_.flicker->exclusion,
              "Flicker follows. It can be harmful to people who answer yes. If you are not sure, "
              "please leave."},
             "Space bar: no, go on        Escape: yes, or not sure: leave"});
        for (;;) {
            const Action action = station_.wait(kWaitSeconds);
            if (action.kind == Action::Kind::accept)
                return true;
            if (action.kind == Action::Kind::escape)
                return false;
            if (action.kind == Action::Kind::interrupted)
                tell_interruption(action.reason);
        }
    }

    bool show_pages() {
        for (std::size_t i = 0; i < protocol_.pages.size(); ++i) {
            const InstructionPage& page = protocol_.pages[i];
            record("page_shown", {{"page", i + 1}});
            if (!show_until_accepted({page.heading, page.paragraphs, "Press the space bar to go on"}))
                return false;
        }
        return true;
    }

    // False: the participant leaves. Pauses do not count as adaptation: it starts anew.
    bool adapt(double duration_s) {
        if (duration_s <= 0.0 || !protocol_.adaptation)
            return true;
        record("adaptation_started", {{"light", protocol_.adaptation->text()}, {"duration_s", duration_s}});
        double from_s = station_.now_s();
        for (double left_s = duration_s; left_s > kClockTickSeconds;
             left_s = from_s + duration_s - station_.now_s()) {
            station_.show_adaptation(left_s / duration_s);
            const Action action = station_.wait(std::min(kCountdownStepSeconds, left_s));
            if (stops(action)) {
                if (!pause(action))
                    return false;
                from_s = station_.now_s();
            }
        }
        record("adaptation_ended", {{"shown_s", station_.now_s() - from_s}});
        return true;
    }

    bool run_trials() {
        const std::vector<Trial> trials = trial_order(protocol_, seed_);
        bool is_first = true;  // of this sitting: the eyes are adapted
        for (std::size_t i = 0; i < trials.size(); ++i) {
            if (resumption_ != nullptr && resumption_->trials_done.count(trials[i].number) > 0)
                continue;
            const int done = is_first ? 0 : static_cast<int>(i);
            is_first = false;
            const bool rests = done > 0 && protocol_.rest_every > 0 && done % protocol_.rest_every == 0;
            if (rests && !rest())
                return false;
            if (done > 0 && !rests && !adapt(protocol_.top_up_s))
                return false;
            if (!run_trial(trials[i], static_cast<int>(trials.size())))
                return false;
        }
        return true;
    }

    bool rest() {
        record("rest_started", nlohmann::json::object());
        if (!show_until_accepted({"Time for a rest",
                                  {"Look away from the screen for a moment. Everything so far is saved."},
                                  "Press the space bar when you are ready"}))
            return false;
        record("rest_ended", nlohmann::json::object());
        return adapt(protocol_.adaptation_s);
    }

    int source_of(Half half) const { return protocol_.rig.half_source[static_cast<std::size_t>(half)]; }

    // What the observer looks at during one trial: the light of each half, or frames of flicker.
    struct Sight {
        LinearDrive reference;
        int odd_quadrant = 0;
        std::optional<Flicker> flicker;
        PresentationProgress progress;
    };

    LinearDrive adjusted_light(const AdjustmentProblem& problem, const AdjustmentState& state) const {
        return stimulus_at(problem, state.position).linear;
    }

    FieldLights still(const Sight& sight, const LinearDrive& adjusted) const {
        FieldLights lights;
        lights.halves[static_cast<std::size_t>(setup_.reference_half())] = sight.reference;
        lights.halves[static_cast<std::size_t>(protocol_.adjusted)] = adjusted;
        lights.odd_quadrant = sight.odd_quadrant;
        return lights;
    }

    // Frames that go on while the observer looks: flicker, or new dither in every frame.
    Presentation presentation(const Sight& sight, const LinearDrive& adjusted) const {
        const FieldLights compared = still(sight, adjusted);
        if (!sight.flicker)
            return {[compared](std::int64_t) { return compared; }, compared, std::nullopt};
        Presentation flickering =
            flicker_presentation(*sight.flicker, {{sight.reference, sight.reference}, {adjusted, adjusted}});
        flickering.compared = compared;
        flickering.longest_s = protocol_.flicker->longest_s;
        return flickering;
    }

    bool shows_frames(const Sight& sight) const {
        return sight.flicker || depth_of(station_, setup_.field_source()).dither == DitherKind::noise;
    }

    // Shows the lights until the observer acts, for some time at most.
    Action look(Sight& sight, const LinearDrive& adjusted, bool changed) {
        if (shows_frames(sight))
            return station_.show_presentation(presentation(sight, adjusted), sight.progress);
        if (changed) {
            const double shown_s = station_.show_field(still(sight, adjusted));
            if (sight.progress.next_frame++ == 0)
                sight.progress.first_frame_s = shown_s;
        }
        return station_.wait(kWaitSeconds);
    }

    // Flicker sets in softly again.
    static void begin_anew(Sight& sight) {
        sight.progress.pause();
        if (sight.progress.frames.shown > 0)
            sight.progress.next_frame = 0;
    }

    // Flicker goes away by itself after its longest time. False: the participant leaves.
    bool rest_from_flicker(Sight& sight) {
        const double from_s = station_.now_s();
        const bool goes_on = show_until_accepted({"A short break",
                                                  {"Rest your eyes for a moment."},
                                                  "Space bar: see it again        Escape: pause"});
        paused_s_ += station_.now_s() - from_s;
        begin_anew(sight);
        station_.forget_presses();
        return goes_on;
    }

    Sight sight_of(const Trial& trial) const {
        Sight sight;
        sight.reference = setup_.reference(trial.condition);
        if (protocol_.field.parts == FieldParts::quadrants) {
            constexpr double kQuadrants = 4.0;
            sight.odd_quadrant =
                static_cast<int>(kQuadrants * RandomStream{seed_, kStreamOddQuadrant}.uniform(
                                                  static_cast<std::uint64_t>(trial.number)));
        }
        if (protocol_.flicker)
            sight.flicker =
                setup_.flicker(setup_.solver(setup_.field_source()).display().calibration().refresh_hz);
        return sight;
    }

    // False: the participant leaves.
    bool run_trial(const Trial& trial, int planned) {
        const Half reference_half = setup_.reference_half();
        const AdjustmentProblem problem =
            setup_.problem(trial.condition, depth_of(station_, source_of(reference_half)));
        AdjustmentState state = start_adjustment(problem, {seed_, kStreamStartingPoints}, trial.number);
        Sight sight = sight_of(trial);
        nlohmann::json started{{"trial", trial.number},
                               {"condition", condition_name(trial)},
                               {"repeat", trial.repeat},
                               {"start", std::vector<double>(state.start.begin(), state.start.end())}};
        if (protocol_.field.parts == FieldParts::quadrants)
            started["odd_quadrant"] = quadrant_name(sight.odd_quadrant, protocol_.field);
        record("trial_started", started);
        station_.forget_presses();
        paused_s_ = 0.0;
        bool changed = true;
        while (!state.accepted) {
            const Action action = look(sight, adjusted_light(problem, state), changed);
            changed = false;
            if (stops(action)) {
                if (!pause(action))
                    return false;
                begin_anew(sight);
                changed = true;
            } else if (action.kind == Action::Kind::ended) {
                if (!rest_from_flicker(sight))
                    return false;
            } else if (action.kind == Action::Kind::accept) {
                state = respond(problem, state, {.kind = AdjustmentResponse::Kind::accept});
            } else if (action.kind == Action::Kind::step &&
                       action.step.axis < static_cast<int>(problem.axes.size())) {
                state = respond(problem, state, action.step);
                changed = true;
            }
        }
        const double duration_s = station_.now_s() - sight.progress.first_frame_s - paused_s_;
        SettingRecord setting =
            setting_record(setup_, station_, trial, problem, state, sight.reference, duration_s);
        if (sight.progress.frames.shown > 0)
            setting.frames = {sight.progress.frames.shown, sight.progress.frames.late,
                              sight.progress.frames.dropped};
        record("setting", to_json(setting));
        ++settings_;
        if (setting_saved_)
            setting_saved_(settings_, planned);
        return true;
    }

    const std::string& condition_name(const Trial& trial) const {
        return protocol_.conditions[static_cast<std::size_t>(trial.condition)].name;
    }

    void show_closing() {
        const std::string words =
            protocol_.closing.empty() ? "You have finished. Thank you." : protocol_.closing;
        show_until_accepted_or_left({"Finished", {words}, "Press the space bar to close"});
    }

    // After the end nothing is recorded any more.
    void show_until_accepted_or_left(const Instruction& page) {
        station_.show_page(page);
        for (;;) {
            const Action action = station_.wait(kWaitSeconds);
            if (action.kind == Action::Kind::accept || action.kind == Action::Kind::escape)
                return;
        }
    }

    const Setup& setup_;
    const Protocol& protocol_;
    std::uint64_t seed_;
    Station& station_;
    SessionLog& log_;
    const std::function<void(const std::string&)>& report_;
    const SettingSaved& setting_saved_;
    const Resumption* resumption_;  // none: a new session
    double started_s_;
    double paused_s_ = 0.0;
    int settings_;
};

}  // namespace

Resumption resumption_of(const SessionFolder& folder, const std::string& resumed_utc) {
    Resumption resumption;
    for (const SettingRecord& setting : folder.settings)
        resumption.trials_done.insert(setting.trial);
    resumption.last_event_s = folder.events.empty() ? 0.0 : folder.events.back().time_s;
    resumption.resumed_utc = resumed_utc;
    return resumption;
}

SessionOutcome go_on_with_session(const Setup& setup, std::uint64_t seed, const Resumption& resumption,
                                  const std::vector<std::string>& warnings, Station& station, SessionLog& log,
                                  const std::function<void(const std::string&)>& report) {
    const SettingSaved nobody;
    return Flow(setup, seed, station, log, report, nobody, &resumption).run(warnings);
}

SessionOutcome run_session(const Setup& setup, std::uint64_t seed, const std::vector<std::string>& warnings,
                           Station& station, SessionLog& log,
                           const std::function<void(const std::string&)>& report,
                           const SettingSaved& setting_saved) {
    return Flow(setup, seed, station, log, report, setting_saved).run(warnings);
}

}  // namespace isoseam
