#pragma once
// One session in progress: what every part of its flow uses.

#include <functional>
#include <string>
#include <vector>

#include "protocols/language/protocol.h"
#include "protocols/setup/setup.h"
#include "results_schema/session_log.h"
#include "runner/station/phrases.h"
#include "runner/station/station.h"

namespace isoseam {

// How long one wait for a response lasts before the flow looks around again.
inline constexpr double kWaitSeconds = 0.5;
// How often a countdown is drawn anew, and how long a wait of which nothing is expected lasts at most.
inline constexpr double kCountdownStepSeconds = 0.1;
// Less than this left of a countdown is none: a clock in doubles may round a shorter wait away.
inline constexpr double kClockTickSeconds = 1e-6;

using Report = std::function<void(const std::string&)>;

class SessionContext {
  public:
    // Times in the record go on from last_event_s.
    SessionContext(const Setup& setup, std::uint64_t seed, Station& station, SessionLog& log,
                   const Report& report, double last_event_s);

    const Setup& setup() const { return setup_; }
    const Protocol& protocol() const { return setup_.protocol(); }
    std::uint64_t seed() const { return seed_; }
    Station& station() { return station_; }

    // Of pages and phrases; "" as long as it is not known, or where the protocol has but one.
    void speak(const std::string& language);
    const std::string& language() const { return language_; }
    const std::string& phrase(const std::string& id) const { return (*phrases_)(id); }
    const std::string& words(const Words& words) const { return words.in(language_); }

    // Writes an event; on failure keeps asking until it can be written, so that nothing accepted is lost. A
    // station that gives no more responses ends with the MachineError.
    void record(const std::string& kind, const nlohmann::json& data);
    void record(const SettingRecord& setting);

    // Shows a page until accepted. False: the participant leaves.
    bool show_until_accepted(const Instruction& page);
    // Shows a page for a while, or until it is stopped: then the action that stops it.
    Action show_for(const Instruction& page, double seconds);
    // Lets time pass on what is shown, while nothing is expected; the same.
    Action pass(double seconds);
    // What ends a wait on whatever page or light: an escape or an interruption.
    static bool stops(const Action& action);
    // The pause after it. True: go on; false: leave.
    bool pause(const Action& action);
    void tell_interruption(const std::string& reason);

    // Since begin_trial().
    double paused_s() const { return paused_s_; }
    void not_counted(double seconds) { paused_s_ += seconds; }
    // What was pressed before does not count.
    void begin_trial();
    // Of the trial, and added to those of the sitting.
    int take_ignored_presses();
    int ignored_presses() const { return ignored_presses_; }

  private:
    void keep_trying(const std::function<void(double)>& append);
    bool wait_for_accept();
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
