#include "runner/session/session_context.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <mutex>
#include <nlohmann/json.hpp>

namespace isoseam {
namespace {

// The time between two looks at whether an interruption is over. Each look may open a window anew.
constexpr double kMendingSeconds = 1.0;

// The reasons that the record names.
const std::string kParticipant = "participant";
const std::string kMended = "mended, and the participant went on";

// Each language is read once, behind a lock, because the sessions of a rehearsal run side by side.
const Phrases& phrases_in(const std::string& language) {
    static std::mutex mutex;
    static std::map<std::string, Phrases> read;
    const std::lock_guard lock(mutex);
    const auto found = read.find(language);
    return found != read.end() ? found->second
                               : read.emplace(language, Phrases::read(language)).first->second;
}

}  // namespace

SessionContext::SessionContext(const Setup& setup, std::uint64_t seed, Station& station, SessionLog& log,
                               const Report& report, double last_event_s)
    : setup_(setup),
      seed_(seed),
      station_(station),
      log_(log),
      report_(report),
      phrases_(&phrases_in("en")),
      started_s_(station.now_s() - last_event_s) {}

void SessionContext::speak(const std::string& language) {
    phrases_ = &phrases_in(language);
    language_ = language;
    station_.use_language(language);
}

void SessionContext::record(const std::string& kind, const nlohmann::json& data) {
    keep_trying([&](double time_s) { log_.append(time_s, kind, data); });
}

void SessionContext::record(const SettingRecord& setting) {
    keep_trying([&](double time_s) { log_.append(time_s, setting); });
}

void SessionContext::keep_trying(const std::function<void(double)>& append) {
    const double time_s = station_.now_s() - started_s_;
    for (;;) {
        try {
            append(time_s);
            return;
        } catch (const MachineError& error) {
            report_(error.what());
            // The station gives up when Escape is pressed twice while nothing can be saved.
            constexpr int kEscapes = 2;
            if (!show_until_agreed({phrase("call_heading"),
                                    {phrase("cannot_save_text"), phrase("cannot_save_warning")},
                                    phrase("cannot_save_foot")},
                                   kEscapes))
                throw;
        }
    }
}

bool SessionContext::show_until_agreed(const Instruction& page, int escapes) {
    station_.expect(ExpectGoOn{});
    station_.show_page(page);
    for (;;) {
        const Action action = station_.wait(kWaitSeconds);
        if (std::holds_alternative<Accepted>(action))
            return true;
        if (std::holds_alternative<Escaped>(action) && --escapes == 0)
            return false;
        if (const auto* const interrupted = std::get_if<Interrupted>(&action))
            tell_interruption(interrupted->reason);
    }
}

void SessionContext::tell_interruption(const std::string& reason) {
    report_(fmt::format("the session is paused: {}; mend that, and let the participant go on", reason));
}

// Waits until an interruption is over. Whatever the participant did or saw meanwhile does not count. Returns
// false when the participant leaves.
bool SessionContext::wait_until_mended() {
    while (station_.interruption()) {
        if (std::holds_alternative<Escaped>(station_.wait(kMendingSeconds)))
            return false;
    }
    station_.forget_presses();
    return true;
}

// Waits until the participant continues, through any further interruption. Returns false when the participant
// leaves.
bool SessionContext::wait_on_pause_page(const Action& why) {
    station_.expect(ExpectGoOn{});
    for (Action action = why;;) {
        if (const auto* const interrupted = std::get_if<Interrupted>(&action)) {
            const char* const text = interrupted->asked ? "experimenter_paused_text" : "disturbed_text";
            station_.show_page({phrase("wait_heading"), {phrase(text), phrase("saved_text")}, ""});
            if (!wait_until_mended())
                return false;
        }
        station_.show_page(page("paused_heading", "paused_text", "paused_foot"));
        action = NoAction{};
        while (!std::holds_alternative<Accepted>(action) && !stops(action))
            action = station_.wait(kWaitSeconds);
        const auto* const again = std::get_if<Interrupted>(&action);
        if (again == nullptr)
            return std::holds_alternative<Accepted>(action);
        if (!again->asked)
            tell_interruption(again->reason);
    }
}

bool SessionContext::pause(const Action& action) {
    const double from_s = station_.now_s();
    const auto* const interrupted = std::get_if<Interrupted>(&action);
    const bool needs_mending = interrupted != nullptr && !interrupted->asked;
    if (needs_mending)
        tell_interruption(interrupted->reason);
    record("paused", {{"reason", interrupted != nullptr ? interrupted->reason : kParticipant}});
    const bool goes_on = wait_on_pause_page(action);
    if (goes_on)
        record("resumed", {{"reason", needs_mending ? kMended : kParticipant}});
    station_.forget_presses();
    not_counted(station_.now_s() - from_s);
    return goes_on;
}

bool SessionContext::show_until(const Expected& expected, const Instruction& page,
                                const std::function<bool(const Action&)>& accepts) {
    station_.expect(expected);
    station_.show_page(page);
    for (;;) {
        const Action action = station_.wait(kWaitSeconds);
        if (stops(action)) {
            if (!pause(action))
                return false;
            station_.expect(expected);
            station_.show_page(page);
        } else if (!std::holds_alternative<NoAction>(action)) {
            if (accepts(action))
                return true;
            station_.show_page(page);
        }
    }
}

bool SessionContext::show_until_accepted(const Instruction& page) {
    return show_until(ExpectGoOn{}, page,
                      [](const Action& action) { return std::holds_alternative<Accepted>(action); });
}

Action SessionContext::show_for(const Instruction& page, double seconds) {
    station_.expect(ExpectNothing{});
    station_.show_page(page);
    return pass(seconds);
}

Action SessionContext::pass(double seconds, const std::function<void(double left_s)>& show) {
    const double until_s = station_.now_s() + seconds;
    for (double left_s = seconds; left_s > kClockTickSeconds; left_s = until_s - station_.now_s()) {
        if (show)
            show(left_s);
        const Action action = station_.wait(std::min(kCountdownStepSeconds, left_s));
        if (stops(action))
            return action;
    }
    return {};
}

void SessionContext::begin_trial() {
    station_.forget_presses();
    paused_s_ = 0.0;
}

int SessionContext::take_ignored_presses() {
    const int ignored = station_.take_ignored_presses();
    ignored_presses_ += ignored;
    return ignored;
}

}  // namespace isoseam
