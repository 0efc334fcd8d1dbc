#pragma once
// A session from the first page to the last trial.

#include <functional>
#include <string>
#include <vector>

#include "protocols/language/protocol.h"
#include "protocols/setup/setup.h"
#include "results_schema/session_folder.h"
#include "results_schema/session_log.h"
#include "runner/session/people_pages.h"
#include "runner/station/station.h"

namespace isoseam {

struct SessionOutcome {
    bool finished = false;  // false: the participant left
    int settings = 0;
    int answers = 0;
};

// Called after each accepted setting or answer is in the log: (trials so far, of how many).
using TrialSaved = std::function<void(int, int)>;

// What a session that is gone on with has already.
struct Resumption {
    std::vector<Event> trials;  // setting, setting_timed_out, answer
    int settings = 0;
    int answers = 0;
    AlreadyAsked asked;
    double last_event_s = 0.0;
    std::string resumed_utc;
};
Resumption resumption_of(const SessionFolder& folder, const std::string& resumed_utc);

// Runs the whole protocol. Every accepted setting and answer is in the log before the next light shows. When
// the log cannot be written, the observer sees a page that asks to call the experimenter, `report` gets the
// reason, and the same event is tried again on the next accept; a station that gives no more responses ends
// with the MachineError. `language`: of the pages; empty: the participant is asked where there are several.
// The participant's code, which orders may hang on, is that of the log's header.
SessionOutcome run_session(const Setup& setup, std::uint64_t seed, const std::vector<std::string>& warnings,
                           Station& station, SessionLog& log,
                           const std::function<void(const std::string&)>& report,
                           const TrialSaved& trial_saved = {}, const std::string& language = {});
// The same for a session that was interrupted or left: what was answered outside the trials is not asked
// again but for exclusions, instructions and adaptation are shown again, and the trials that were left follow
// as they would have. InputError when the recorded trials are not those of this protocol and seed.
SessionOutcome go_on_with_session(const Setup& setup, std::uint64_t seed, const Resumption& resumption,
                                  const std::vector<std::string>& warnings, Station& station, SessionLog& log,
                                  const std::function<void(const std::string&)>& report);

}  // namespace isoseam
