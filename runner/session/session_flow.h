#pragma once
// A session from the first page to the last trial.
//
//     const SessionOutcome outcome = run_session(setup, seed, {}, station, log, report);

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
    bool finished = false;  // False when the participant left.
    int settings = 0;
    int answers = 0;
};

// The session calls this after each accepted setting or answer is in the log, with the number of trials so
// far and the number that is planned.
using TrialSaved = std::function<void(int, int)>;

// What a session that continues has recorded already.
struct Resumption {
    // The events setting, setting_timed_out and answer, in their order.
    std::vector<Event> trials;
    int settings = 0;
    int answers = 0;
    AlreadyAsked asked;
    double last_event_s = 0.0;
    std::string resumed_utc;
};
Resumption resumption_of(const SessionFolder& folder, const std::string& resumed_utc);

// Runs the whole protocol. Every accepted setting and answer is in the log before the next light shows.
//
// When the log cannot be written, the participant sees a page that asks to call the experimenter, `report`
// gets the reason, and the same event is tried again when the participant accepts the page. On a station that
// gives no more responses the session ends with the MachineError.
//
// `language` is the language of the pages. When it is empty and the protocol has several languages, the
// participant chooses one. The order of conditions may depend on the participant's code, which is read from
// the log's header.
SessionOutcome run_session(const Setup& setup, std::uint64_t seed, const std::vector<std::string>& warnings,
                           Station& station, SessionLog& log, const Report& report,
                           const TrialSaved& trial_saved = {}, const std::string& language = {});

// Continues a session that was interrupted or left. Questions that were answered outside the trials are not
// asked again, except for exclusions. Instructions and adaptation are shown again. Then the remaining trials
// follow as they would have done without the interruption. InputError when the recorded trials are not those
// of this protocol and seed.
SessionOutcome go_on_with_session(const Setup& setup, std::uint64_t seed, const Resumption& resumption,
                                  const std::vector<std::string>& warnings, Station& station, SessionLog& log,
                                  const Report& report);

}  // namespace isoseam
