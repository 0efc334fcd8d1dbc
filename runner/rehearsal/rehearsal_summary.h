#pragma once
// What a rehearsal says beforehand about the sessions to come: how long they take, and how well they measure
// what is true of the simulated observers. All functions here are pure.

#include <array>
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "protocols/language/durations.h"
#include "protocols/language/protocol.h"
#include "runner/rehearsal/session_tally.h"

namespace isoseam {

// A number with its standard error. A mean of one value has none.
struct Measured {
    double value = 0.0;
    std::optional<double> standard_error;
};

struct RehearsalSummary {
    int sessions = 0;
    int left = 0;  // The number of sessions that ended before the last trial.
    double mean_duration_s = 0.0;
    double shortest_duration_s = 0.0;  // 5 % of the sessions are shorter.
    double longest_duration_s = 0.0;   // 5 % of the sessions are longer.
    double expected_duration_s = 0.0;  // As the protocol tells it.
    // True where lights flicker. Then each contrast is that of the observer's luminance, written three times.
    bool by_luminance = false;

    // The settings of one condition by all observers. Contrasts are fractions, in L, M and S.
    struct Condition {
        std::string name;
        int settings = 0;
        int timed_out = 0;
        int moved_starts = 0;
        int refused_steps = 0;
        // How far the settings lie from the match that the observer's own eye would make: the mean over
        // observers of their means.
        std::array<Measured, 3> bias;
        // The standard deviation of one observer's settings about their mean, pooled over observers. None
        // unless some observer made two settings.
        std::optional<std::array<Measured, 3>> sd;
        // The standard error of one observer's mean: the SD over the root of the repeats.
        std::optional<std::array<double, 3>> precision;
    };
    std::vector<Condition> conditions;

    // The runs of a task's procedure on one condition by all observers, in log10 of estimate over truth.
    struct Task {
        std::string name;
        int runs = 0;
        int practice_failed = 0;
        double mean_trials = 0.0;
        int compared = 0;  // The runs that have an estimate and a known truth.
        std::optional<Measured> bias_log10;
        std::optional<Measured> sd_log10;
    };
    std::vector<Task> tasks;
};

// `sessions` holds at least one session, in the order of observers.
RehearsalSummary summarise(const Protocol& protocol, std::span<const SessionTally::Sums> sessions);

std::string rehearsal_summary_text(const RehearsalSummary& summary);
// Durations are in seconds and contrasts are fractions.
nlohmann::json to_json(const RehearsalSummary& summary);

}  // namespace isoseam
