#pragma once
// One session in progress: what every part of its flow uses.
//
//     context.record("page_shown", {{"page", 1}});    // in the log, or tried again until it is
//     if (!context.show_until_accepted(page))
//         return false;                               // the participant leaves

#include <functional>
#include <string>
#include <vector>

#include "protocols/language/protocol.h"
#include "protocols/setup/setup.h"
#include "results_schema/session_log.h"
#include "runner/station/phrases.h"
#include "runner/station/station.h"

namespace isoseam {

// One wait for a response lasts this long at most. Then the flow looks at the clock and waits again.
inline constexpr double kWaitSeconds = 0.5;
// A countdown is drawn anew this often, and a wait that expects no response lasts this long at most.
inline constexpr double kCountdownStepSeconds = 0.1;
// A countdown with less time left than this is over: a clock in doubles may round a shorter wait away.
inline constexpr double kClockTickSeconds = 1e-6;

class SessionContext {
  public:
    // Times in the record continue from last_event_s.
    SessionContext(const Setup& setup, std::uint64_t seed, Station& station, SessionLog& log,
                   const Report& report, double last_event_s);

    const Setup& setup() const { return setup_; }
    const Protocol& protocol() const { return setup_.protocol(); }
    std::uint64_t seed() const { return seed_; }
    Station& station() { return station_; }

    // The language of pages and phrases is "" until speak() sets it, and in a protocol that names no
    // languages.
    void speak(const std::string& language);
    const std::string& language() const { return language_; }
    const std::string& phrase(const std::string& id) const { return (*phrases_)(id); }
    // The page of these three phrases.
    Instruction page(const std::string& heading, const std::string& text, const std::string& foot) const {
        return {phrase(heading), {phrase(text)}, phrase(foot)};
    }
    const std::string& words(const Words& words) const { return words.in(language_); }

    // Writes an event. When that fails, it tries again until the event can be written, so that nothing
    // accepted is lost. On a station that gives no more responses it ends with the MachineError.
    void record(const std::string& kind, const nlohmann::json& data);
    void record(const SettingRecord& setting);

    // Shows a page until `accepts` says that something on it is accepted. `accepts` may change the page, which is
    // then shown again. Returns false when the participant leaves.
    bool show_until(const Expected& expected, const Instruction& page,
                    const std::function<bool(const Action&)>& accepts);
    // Shows a page until the participant accepts it. Returns false when the participant leaves.
    bool show_until_accepted(const Instruction& page);
    // Shows a page that nobody can pause. Returns false after this many escapes, and true when it is accepted.
    bool show_until_agreed(const Instruction& page, int escapes = 1);
    // Shows a page for a while. Returns the action that stops it earlier, if there is one.
    Action show_for(const Instruction& page, double seconds);
    // Leaves what is shown for a while and expects no response, or shows again and again what time is left.
    // Returns the action that stops it earlier, if there is one.
    Action pass(double seconds, const std::function<void(double left_s)>& show = {});
    // Pauses after an action that stops. Returns false when the participant leaves.
    bool pause(const Action& action);
    void tell_interruption(const std::string& reason);

    // Returns the time since begin_trial() that does not count as part of the trial.
    double paused_s() const { return paused_s_; }
    void not_counted(double seconds) { paused_s_ += seconds; }
    // Begins to count the pauses of a trial, and forgets what was pressed before.
    void begin_trial();
    // Returns the ignored presses of the trial. They are added to those of the sitting.
    int take_ignored_presses();
    int ignored_presses() const { return ignored_presses_; }

  private:
    void keep_trying(const std::function<void(double)>& append);
    bool wait_until_mended();
    bool wait_on_pause_page(const Action& why);

    const Setup& setup_;
    std::uint64_t seed_;
    Station& station_;
    SessionLog& log_;
    const Report& report_;
    const Phrases* phrases_;
    std::string language_;
    double started_s_;
    double paused_s_ = 0.0;
    int ignored_presses_ = 0;
};

}  // namespace isoseam
