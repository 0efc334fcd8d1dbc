#include "runner/rehearsal/rehearsal.h"

#include <fmt/format.h>

#include <algorithm>
#include <exception>
#include <filesystem>
#include <mutex>
#include <optional>
#include <thread>

#include "base/errors.h"
#include "runner/station/shown_records.h"

namespace isoseam {
namespace {

constexpr const char* kParticipantPrefix = "simulated-";

std::string participant_of(int observer) {
    return fmt::format("{}{:04}", kParticipantPrefix, observer);
}

// Sessions have the same names in every rehearsal. So this makes sure that nothing is overwritten, and that
// no name is changed in silence.
void require_unused(const std::string& out) {
    std::error_code none_yet;
    for (const auto& entry : std::filesystem::directory_iterator(out, none_yet)) {
        const std::string name = entry.path().filename().string();
        if (name.starts_with(kParticipantPrefix)) {
            throw InputError(Fault{out, 0, 0, "--out", fmt::format("holds a rehearsal already ('{}')", name),
                                   "name another folder, or remove the old rehearsal first"});
        }
    }
}

class Rehearsal {
  public:
    Rehearsal(const Setup& setup, const RehearsalPlan& plan, const RehearsalListener& listener,
              const std::atomic<bool>& stop)
        : setup_(setup),
          plan_(plan),
          listener_(listener),
          stop_(stop),
          truths_(setup, plan.traits),
          header_(describe_session(setup, plan.seed, station(1))),
          sessions_(static_cast<std::size_t>(plan.observers)) {
        header_.kind = "rehearsal";
        header_.started_utc = kRehearsalUtc;
    }

    std::vector<RehearsedSession> run() {
        std::vector<std::thread> others;
        for (int i = 1; i < std::min(plan_.threads, plan_.observers); ++i)
            others.emplace_back([this] { work(); });
        work();
        for (std::thread& other : others)
            other.join();
        if (failure_)
            std::rethrow_exception(failure_);
        std::vector<RehearsedSession> done;
        for (std::optional<RehearsedSession>& session : sessions_) {
            if (session)
                done.push_back(std::move(*session));
        }
        if (!done.empty())
            sync_sessions(plan_.out);
        return done;
    }

  private:
    SimulatedStation station(int observer) const {
        return SimulatedStation(setup_, plan_.seed, static_cast<std::uint64_t>(observer), plan_.traits,
                                plan_.dither);
    }

    // Takes one observer after the other until none is left.
    void work() {
        while (!stop_ && !failed_) {
            const int observer = next_++;
            if (observer > plan_.observers)
                return;
            try {
                sessions_[static_cast<std::size_t>(observer) - 1] = rehearse_one(observer);
                const std::lock_guard lock(mutex_);
                listener_.session_done(++done_);
            } catch (...) {
                const std::lock_guard lock(mutex_);
                if (!failed_.exchange(true))
                    failure_ = std::current_exception();
            }
        }
    }

    RehearsedSession rehearse_one(int observer) {
        SimulatedStation seat = station(observer);
        const std::uint64_t seed = plan_.seed + static_cast<std::uint64_t>(observer) - 1;
        SessionHeader header = header_;
        header.seed = seed;
        header.participant = participant_of(observer);
        header.simulated_observer = seat.description();
        SessionLog log = SessionLog::create(plan_.out, std::move(header), Durability::with_others);
        SessionTally tally(setup_, seat, truths_, seed);
        log.tell(tally);
        const Report report = [this](const std::string& message) {
            const std::lock_guard lock(mutex_);
            listener_.tell(message);
        };
        const TrialSaved saved = [&](int done, int planned) {
            if (listener_.trial_saved) {
                const std::lock_guard lock(mutex_);
                listener_.trial_saved(log.header().session, done, planned);
            }
        };
        run_session(setup_, seed, {}, seat, log, report, saved, language());
        return {log.folder(), tally.sums(seat.now_s())};
    }

    // Simulated observers read the first language.
    std::string language() const {
        const std::vector<std::string>& languages = setup_.protocol().languages;
        return languages.empty() ? std::string() : languages.front();
    }

    const Setup& setup_;
    const RehearsalPlan& plan_;
    const RehearsalListener& listener_;
    const std::atomic<bool>& stop_;
    const TaskTruths truths_;
    SessionHeader header_;  // what all sessions have in common
    std::vector<std::optional<RehearsedSession>> sessions_;
    std::atomic<int> next_ = 1;
    std::atomic<bool> failed_ = false;
    std::mutex mutex_;
    int done_ = 0;
    std::exception_ptr failure_;
};

}  // namespace

std::vector<RehearsedSession> rehearse(const Setup& setup, const RehearsalPlan& plan,
                                       const RehearsalListener& listener, const std::atomic<bool>& stop) {
    ISOSEAM_CHECK(plan.threads >= 1 && plan.observers >= 1);
    require_unused(plan.out);
    return Rehearsal(setup, plan, listener, stop).run();
}

}  // namespace isoseam
