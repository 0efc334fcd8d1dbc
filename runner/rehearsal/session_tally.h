#pragma once
// What one simulated observer's session comes to, counted while it is written: how far its settings are from
// the matches of this very eye, and how its tasks' estimates compare with what is true of this observer.

#include <Eigen/Core>
#include <cstdint>
#include <map>
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <vector>

#include "protocols/language/protocol.h"
#include "protocols/setup/setup.h"
#include "results_schema/session_log.h"
#include "runner/rehearsal/simulated_station.h"

namespace isoseam {

// The distance (JudgeTraits) at which an observer is right as often as a task's procedure aims for. Where it
// is the same for every observer, it is computed once.
class TaskTruths {
  public:
    TaskTruths(const Setup& setup, const SimulatedTraits& traits);

    // The observer's true threshold: the level at which this observer succeeds as often as the condition's
    // procedure aims for. None where the procedure estimates no threshold, and where no light in gamut is
    // that far.
    std::optional<double> level(const Setup& setup, const SimulatedStation& observer, int condition) const;

  private:
    std::map<int, double> distance_;  // By condition, for questions about a place.
};

class SessionTally : public SessionListener {
  public:
    // The moments of the contrasts between adjusted and reference half as this eye sees them. 0 is its match.
    struct Settings {
        int count = 0;
        Eigen::Vector3d mean = Eigen::Vector3d::Zero();
        Eigen::Vector3d squares = Eigen::Vector3d::Zero();  // The summed squares of deviations from the mean.
        int moved_starts = 0;                               // Starts that lay out of gamut.
        int refused_steps = 0;
        int timed_out = 0;
        void add(const Eigen::Vector3d& contrast);
    };
    // One run of a procedure on one condition.
    struct TaskRun {
        int condition = 0;
        int trials = 0;
        std::optional<double> log10_ratio;  // The estimate over the true threshold.
        bool practice_failed = false;
    };
    struct Sums {
        std::vector<Settings> settings;  // By condition.
        std::vector<TaskRun> runs;
        double duration_s = 0.0;
        bool finished = false;
    };

    // `setup`, `observer` and `truths` outlive the tally. It is made before the session, because truths are
    // those of the session's beginning.
    SessionTally(const Setup& setup, const SimulatedStation& observer, const TaskTruths& truths,
                 std::uint64_t seed);

    void hear(const std::string& kind, const nlohmann::json& data) override;
    void hear(const SettingRecord& setting) override;
    Sums sums(double duration_s) const;

  private:
    struct Answers {
        int condition = 0;
        std::vector<TrialResponse> responses;
    };
    int condition_of(const std::string& name) const { return conditions_.at(name); }
    Eigen::Vector3d seen(const HalfRecord& half) const;
    TaskRun ended(int run, const Answers& answers) const;

    const Setup& setup_;
    const SimulatedStation& observer_;
    std::uint64_t seed_;
    std::map<std::string, int> conditions_;
    std::map<std::string, int> sources_;
    std::map<int, std::optional<double>> true_levels_;  // by condition
    std::map<int, Answers> answers_;                    // by run
    Sums sums_;
};

}  // namespace isoseam
