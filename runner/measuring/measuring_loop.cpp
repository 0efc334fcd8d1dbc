#include "runner/measuring/measuring_loop.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "calibration/measuring/reading_check.h"

namespace isoseam {
namespace {

std::string minutes(double seconds) {
    return seconds < 90.0 ? fmt::format("{:.0f} s", seconds) : fmt::format("{:.0f} min", seconds / 60.0);
}

std::string failure_words(const ReadingFailure& failure) {
    return fmt::format("{}: {}; {}", trouble_word(failure.trouble), failure.found, failure.remedy);
}

// Whether trying again may help. A trouble that will be the same the next time is not tried three times.
bool may_pass(Trouble trouble) {
    switch (trouble) {
        case Trouble::time_out:
        case Trouble::garbled:
        case Trouble::unplugged:
        case Trouble::failed:
        case Trouble::negative:
        case Trouble::disturbed:
            return true;
        default:
            return false;
    }
}

class Loop {
  public:
    Loop(MeasuringLog& log, Instrument& instrument, PatchScreen& screen, const PersonAtTerminal& person,
         const LoopOptions& options, double began_s)
        : log_(log),
          instrument_(instrument),
          screen_(screen),
          person_(person),
          options_(options),
          offset_s_(began_s - screen.now_s()),
          record_(instrument.record()),
          reading_s_(record_.reading_s) {}

    LoopOutcome run() {
        while (!end_) {
            const MeasuringNext next = next_of(log_.state());
            if (std::holds_alternative<AllRead>(next))
                end_with(LoopEnd::all_read);
            else if (const auto* drifting = std::get_if<StillDrifting>(&next))
                meet_drift(*drifting);
            else
                read(std::get<ReadNext>(next));
        }
        return *end_;
    }

  private:
    // The time is rounded to the millisecond, so that a resumed measurement has the times of one that ran
    // through.
    double at_s() { return std::round(1e3 * (screen_.now_s() + offset_s_)) / 1e3; }

    void end_with(LoopEnd end, std::optional<ReadingFailure> failure = std::nullopt) {
        end_ = LoopOutcome{end, std::move(failure)};
    }

    void meet_drift(const StillDrifting& drifting) {
        const std::string words = fmt::format("after {} white still drifts by {:+.2g} +- {:.1g} % a minute",
                                              minutes(drifting.watched_s), 100.0 * drifting.drift.per_min,
                                              100.0 * drifting.drift.standard_error);
        person_.tell(words);
        bool go_on = options_.despite_drifting;
        if (!go_on) {
            const std::optional<std::string> answer = person_.ask("measure although it drifts? (yes, no) ");
            go_on = answer && answer->starts_with('y');
        }
        if (go_on)
            log_.append(WentOnUnsettled{at_s()});
        else
            end_with(LoopEnd::drifting);
    }

    // Waits, and returns whether to go on: meanwhile somebody may pause and leave.
    bool wait(double seconds) {
        const double until_s = screen_.now_s() + seconds;
        do {
            const PatchScreen::Press press = screen_.wait(std::max(0.0, until_s - screen_.now_s()));
            if (press == PatchScreen::Press::leave) {
                end_with(LoopEnd::left);
                return false;
            }
            if (press == PatchScreen::Press::pause && !paused())
                return false;
        } while (screen_.now_s() < until_s);
        return true;
    }

    bool paused() {
        person_.tell("paused: the space bar goes on, Escape leaves");
        if (!screen_.wait_for_go_on())
            end_with(LoopEnd::left);
        return !end_;
    }

    void read(const ReadNext& next) {
        if (next.earliest_s > at_s() && !wait_showing(next))
            return;
        screen_.show(next.shown);
        tell_progress(next);
        if (next.aim && screen_.is_seen() && !aimed(next))
            return;
        if (!wait(options_.settle_s))
            return;
        ShownPatch shown = next.shown;
        shown.at_s = at_s();
        const double before_s = screen_.now_s();
        const ReadingOutcome outcome = looked(shown);
        screen_.reading_made(record_.reading_s);
        if (const auto* failure = std::get_if<ReadingFailure>(&outcome)) {
            fail(next, *failure);
            return;
        }
        const auto& spectrum = std::get<InstrumentSpectrum>(outcome);
        const bool first = log_.state().readings.empty();
        log_.append(ReadingTaken{next.shown.step, shown.at_s, spectrum});
        tries_ = 0;
        learn_time(screen_.now_s() - before_s);
        if (first)
            tell_range(spectrum);
    }

    // Waits for the time of the next patch. The patch is shown meanwhile, so that the screen stays equally
    // warm.
    bool wait_showing(const ReadNext& next) {
        screen_.show(next.shown);
        tell_progress(next);
        return wait(next.earliest_s - at_s());
    }

    ReadingOutcome looked(const ShownPatch& shown) {
        if (std::optional<ReadingFailure> before = undisturbed_soon())
            return *before;
        ReadingOutcome outcome = instrument_.read(shown);
        // A disturbance during the reading spoils what was read.
        if (std::optional<ReadingFailure> meanwhile = screen_.disturbance())
            return *meanwhile;
        if (const auto* spectrum = std::get_if<InstrumentSpectrum>(&outcome)) {
            if (std::optional<ReadingFailure> fault =
                    reading_fault(log_.state(), shown, *spectrum, record_.unit))
                return *fault;
        }
        return outcome;
    }

    // Returns the disturbance that does not end soon; none when nothing disturbs.
    std::optional<ReadingFailure> undisturbed_soon() {
        std::optional<ReadingFailure> disturbance = screen_.disturbance();
        const double until_s = screen_.now_s() + options_.focus_wait_s;
        if (disturbance) {
            log_.append(Remark{at_s(), failure_words(*disturbance)});
            person_.tell(failure_words(*disturbance));
        }
        constexpr double kLookAgainSeconds = 0.2;
        while (disturbance && screen_.now_s() < until_s && wait(kLookAgainSeconds))
            disturbance = screen_.disturbance();
        return disturbance;
    }

    void fail(const ReadNext& next, const ReadingFailure& failure) {
        if (end_)
            return;
        if (failure.trouble == Trouble::left) {
            end_with(LoopEnd::left);
            return;
        }
        const std::string words = fmt::format("{}: {}", next.shown.step, failure_words(failure));
        log_.append(Remark{at_s(), words});
        person_.tell(words);
        ++tries_;
        if (failure.trouble == Trouble::missing && next.step >= 0 && next.shown.same_before > 0) {
            log_.append(StepLeftOut{next.shown.step, at_s(), "the table holds no more readings of it"});
            tries_ = 0;
        } else if (may_pass(failure.trouble) && tries_ < kTries) {
            wait(options_.try_again_s);
        } else {
            ask_what_to_do(next, failure);
        }
    }

    void ask_what_to_do(const ReadNext& next, const ReadingFailure& failure) {
        while (true) {
            const std::optional<std::string> answer =
                person_.ask("again, leave out this step, or stop? (again, leave, stop) ");
            if (!answer || *answer == "stop") {
                end_with(LoopEnd::trouble, failure);
                return;
            }
            if (*answer == "again" || *answer == "leave") {
                if (*answer == "leave")
                    log_.append(StepLeftOut{next.shown.step, at_s(), failure.found});
                tries_ = 0;
                return;
            }
        }
    }

    // Asks somebody to move the instrument to the patch, and returns whether to go on. It asks in the window,
    // which has the keyboard.
    bool aimed(const ReadNext& next) {
        if (next.shown.step == aimed_step_)
            return true;
        person_.tell(fmt::format(
            "aim the instrument at the patch {:.0f} % from the left and {:.0f} % from the top, then "
            "press Return in the measuring window",
            100.0 * next.shown.place.x, 100.0 * next.shown.place.y));
        if (!screen_.wait_for_go_on()) {
            end_with(LoopEnd::left);
            return false;
        }
        aimed_step_ = next.shown.step;
        return true;
    }

    void tell_progress(const ReadNext& next) const {
        const MeasuringState& state = log_.state();
        const double left_s = time_left_s(state, reading_s_, options_.settle_s);
        person_.progress(fmt::format(
            "{} kept, {} to come, {} left{}: {} {}", state.readings.size(), readings_left(state),
            minutes(left_s), state.watching ? " after the warm-up watch" : "", next.shown.step, next.why));
    }

    void tell_range(const InstrumentSpectrum& first) const {
        for (const std::string& line : range_advice(first)) {
            log_.append(Remark{log_.state().last_at_s, line});
            person_.tell("note: " + line);
        }
    }

    // Keeps a running mean over about ten readings.
    void learn_time(double took_s) {
        constexpr double kWeight = 0.1;
        reading_s_ += kWeight * (took_s - reading_s_);
    }

    MeasuringLog& log_;
    Instrument& instrument_;
    PatchScreen& screen_;
    const PersonAtTerminal& person_;
    const LoopOptions& options_;
    double offset_s_;
    InstrumentRecord record_;
    double reading_s_;
    int tries_ = 0;  // how often the reading that is due was tried
    std::string aimed_step_;
    std::optional<LoopOutcome> end_;
};

}  // namespace

LoopOutcome run_measurement(MeasuringLog& log, Instrument& instrument, PatchScreen& screen,
                            const PersonAtTerminal& person, const LoopOptions& options, double began_s) {
    return Loop(log, instrument, screen, person, options, began_s).run();
}

}  // namespace isoseam
