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

// Stands in each record for the time when it began, which a rehearsal does not have.
inline constexpr const char* kRehearsalUtc = "2000-01-01T00:00:00.000Z";

struct RehearsalPlan {
    std::string out;  // The folder for the sessions.
    int observers = 1;
    // The seed of eyes and noise. The order and starting points of observer n (from 1) have seed + n - 1.
    std::uint64_t seed = 1;
    SimulatedTraits traits;
    DitherKind dither = DitherKind::ordered;
    int threads = 1;
};

struct RehearsedSession {
    std::string folder;
    SessionTally::Sums sums;
};

// Hears what happens while a rehearsal runs, from one thread at a time.
struct RehearsalListener {
    Report tell;                            // What an experimenter would be told.
    std::function<void(int)> session_done;  // The number of sessions that are done.
    // The session, the number of its trials so far and the number planned. This function may be empty.
    std::function<void(const std::string&, int, int)> trial_saved;
};

// Runs the sessions and returns them by observer. Each is in `out`/simulated-NNNN-20000101T000000Z. Once
// `stop` is set, the rehearsal ends early, with the sessions that have begun by then. All sessions are synced
// to disk together at the end. InputError when `out` holds a rehearsal already. MachineError when a session
// cannot be written.
std::vector<RehearsedSession> rehearse(const Setup& setup, const RehearsalPlan& plan,
                                       const RehearsalListener& listener, const std::atomic<bool>& stop);

}  // namespace isoseam
