#pragma once
// A session from the first page to the last setting.

#include <functional>
#include <set>
#include <string>
#include <vector>

#include "protocols/protocol.h"
#include "results_schema/session_folder.h"
#include "results_schema/session_log.h"
#include "runner/session_records.h"
#include "runner/station.h"

namespace isoseam {

struct SessionOutcome {
    bool finished = false;  // false: the participant left
    int settings = 0;
};

// Called after each accepted setting is in the log: (settings so far, of how many).
using SettingSaved = std::function<void(int, int)>;

// What a session that is gone on with has already.
struct Resumption {
    std::set<int> trials_done;  // their numbers
    double last_event_s = 0.0;
    std::string resumed_utc;
};
Resumption resumption_of(const SessionFolder& folder, const std::string& resumed_utc);

// Runs the whole protocol. Every accepted setting is in the log before the next light shows. When the log
// cannot be written, the observer sees a page that asks to call the experimenter, `report` gets the reason,
// and the same event is tried again on the next accept; a station that gives no more responses ends with the
// MachineError.
SessionOutcome run_session(const Setup& setup, std::uint64_t seed, const std::vector<std::string>& warnings,
                           Station& station, SessionLog& log,
                           const std::function<void(const std::string&)>& report,
                           const SettingSaved& setting_saved = {});
// The same for a session that was interrupted or left: instructions and adaptation are shown again, and the
// trials without a setting follow in the order, and from the starting points, that they always had.
SessionOutcome go_on_with_session(const Setup& setup, std::uint64_t seed, const Resumption& resumption,
                                  const std::vector<std::string>& warnings, Station& station, SessionLog& log,
                                  const std::function<void(const std::string&)>& report);

}  // namespace isoseam
