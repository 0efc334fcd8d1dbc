#pragma once
// Many sessions with simulated observers, side by side. What is on disk afterwards depends on protocol,
// calibrations and plan alone, never on the number of threads, the clock or the machine.

#include <atomic>
#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "runner/rehearsal/session_tally.h"
#include "runner/rehearsal/simulated_station.h"
#include "runner/session/session_flow.h"

namespace isoseam {

// Stands in each record for the time of its beginning, which a rehearsal has not.
inline constexpr const char* kRehearsalUtc = "2000-01-01T00:00:00.000Z";

struct RehearsalPlan {
    std::string out;  // folder for the sessions
    int observers = 1;
    // Of eyes and noise; order and starting points of observer n (from 1) have seed + n - 1.
    std::uint64_t seed = 1;
    SimulatedTraits traits;
    DitherKind dither = DitherKind::ordered;
    int threads = 1;
};

struct RehearsedSession {
    std::string folder;
    SessionTally::Sums sums;
};

// What is told while it goes on; from one thread at a time.
struct RehearsalListener {
    std::function<void(const std::string&)> tell;  // what an experimenter would be told
    std::function<void(int)> session_done;         // how many are done
    // (session, trials so far, of how many); may be empty.
    std::function<void(const std::string&, int, int)> trial_saved;
};

// The sessions, by observer; each in `out`/simulated-NNNN-20000101T000000Z. Ends early, with the sessions
// begun by then, once `stop` is set. All are synced to disk together at the end. InputError when `out` holds
// a rehearsal already; MachineError when a session cannot be written.
std::vector<RehearsedSession> rehearse(const Setup& setup, const RehearsalPlan& plan,
                                       const RehearsalListener& listener, const std::atomic<bool>& stop);

// How many the machine runs at once.
int hardware_threads();

}  // namespace isoseam
