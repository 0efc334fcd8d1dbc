#pragma once
// What a rehearsal says beforehand about the sessions to come: how long they take, and how well they measure
// what is true of the simulated observers. Pure.

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

// A number with its standard error, which one value alone has not.
struct Measured {
    double value = 0.0;
    std::optional<double> standard_error;
};

struct RehearsalSummary {
    int sessions = 0;
    int left = 0;  // ended before the last trial
    double mean_duration_s = 0.0;
    double shortest_duration_s = 0.0;  // 5 % of the sessions are shorter
    double longest_duration_s = 0.0;   // 5 % are longer
    double expected_duration_s = 0.0;  // the protocol's
    bool by_luminance =
        false;  // lights flicker: contrasts are those of the observer's luminance, three times

    // Settings of one condition by all observers; contrasts are fractions, in L, M, S.
    struct Condition {
        std::string name;
        int settings = 0;
        int timed_out = 0;
        int moved_starts = 0;
        int refused_steps = 0;
        // Of the settings from the match that the observer's own eye would make: mean over observers of their
        // means.
        std::array<Measured, 3> bias;
        // Of one observer's settings about their mean; pooled over observers. None without two settings of
        // one observer.
        std::optional<std::array<Measured, 3>> sd;
        // Standard error of one observer's mean: SD over the root of the repeats.
        std::optional<std::array<double, 3>> precision;
    };
    std::vector<Condition> conditions;

    // Runs of a task's procedure on one condition, by all observers; in log10 of estimate over truth.
    struct Task {
        std::string name;
        int runs = 0;
        int practice_failed = 0;
        double mean_trials = 0.0;
        int compared = 0;  // runs with an estimate, where the truth is known
        std::optional<Measured> bias_log10;
        std::optional<Measured> sd_log10;
    };
    std::vector<Task> tasks;
};

// `sessions`: at least one, in the order of observers.
RehearsalSummary summarise(const Protocol& protocol, std::span<const SessionTally::Sums> sessions);

std::string rehearsal_summary_text(const RehearsalSummary& summary);
// Durations in seconds, contrasts as fractions.
nlohmann::json to_json(const RehearsalSummary& summary);

}  // namespace isoseam
