#pragma once
// What a set of matches comes to: per condition the mean setting, its spread, and its distance from the
// predicted match. Pure: the same folders give the same summary, in the same order.

#include <array>
#include <cstdint>
#include <nlohmann/json.hpp>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "analysis/folder_use.h"
#include "analysis/scatter.h"
#include "results_schema/session_folder.h"

namespace isoseam {

struct Estimate {
    double mean = 0.0;
    std::optional<double> sd;  // by n - 1; one value has none
};
Estimate estimate(std::span<const double> values);  // at least one

// The settings of one condition, by one participant or by all.
struct ConditionSummary {
    std::optional<std::string> participant;  // none: all participants, each setting with the same weight
    std::string condition;
    std::size_t settings = 0;
    std::string space;
    std::vector<std::string> axes;
    std::vector<Estimate> setting;     // per axis, in its unit, 0 = predicted match
    std::array<Estimate, 3> contrast;  // from the predicted match, L, M, S, as fractions
    double distance = 0.0;             // length of the mean contrast, a fraction
    // MacLeod-Boynton l and s of the nominal observer, setting minus predicted match. None for all
    // participants together (their spread is another thing than one person's), and below three settings.
    std::optional<Scatter> chromaticity;
    Estimate duration_s;
    std::int64_t refused_steps = 0;  // that would have left the gamut
    int starts_moved = 0;            // settings whose random start was out of gamut
};

// Settings that may stand in one table: of the same protocol (by hash), all by people or all by simulated
// observers, all on measured or all on demo calibrations. What differs in one of these is never pooled.
struct MatchSeries {
    std::string kind;  // "session" or "rehearsal"
    bool demo_calibration = false;
    std::string protocol_file;
    std::string protocol_sha256;
    bool calibrations_differ = false;   // between its sessions
    std::vector<std::string> cautions;  // of its sessions, each once
    std::vector<std::string> sessions;
    std::vector<std::string> participants;
    std::vector<ConditionSummary> conditions;  // by participant, then (if there are several) of all
};

struct MatchSummary {
    std::vector<FolderUse> folders;  // all, in the order given
    std::vector<MatchSeries> series;
};

// Left out: damaged folders, folders without a setting, a session that was given before.
MatchSummary summarise_matches(const std::vector<SessionFolder>& folders);

// Tables of at most 110 columns (but paths are never broken), contrasts in per cent.
std::string match_summary_text(const MatchSummary& summary);
// Layout in README.md. An SD that is not defined is null.
nlohmann::json to_json(const MatchSummary& summary);

}  // namespace isoseam
