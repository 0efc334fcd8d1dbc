#pragma once
// This header holds what a set of sessions asked, as far as headers and records show it. They hold the
// protocol only as text, which is not read here.

#include <array>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "analysis/summaries/series_facts.h"
#include "results_schema/session_folder.h"

namespace isoseam {

// This is a source as the sessions used it.
struct UsedSource {
    std::string name;
    std::string calibration;  // SHA-256
    int bits = 0;
    std::string dither;
    auto operator<=>(const UsedSource&) const = default;
};

struct ValueRange {
    double smallest = 0.0;
    double largest = 0.0;
    void widen(double value);
    bool empty = true;
};

// This is one condition. Settings and answers of a condition stand apart.
struct AskedCondition {
    std::string condition;
    // This is "setting", or for answers the form as recorded: "yes_no", "place", "same_different", "rating".
    std::string form;
    std::optional<int> places;  // the number of places of a forced choice
    std::string space;
    std::vector<std::string> axes;
    // These are the halves and sources that were adjusted, or that had the light at the level.
    std::set<std::string> shown_halves, shown_sources;
    std::set<std::string> reference_halves, reference_sources;
    // This is true if it holds in all records. It is false too if a calibration cannot be read.
    bool shares_primaries = false;
    bool primaries_known = true;
    // This is true if it holds in all sources of all records, as far as the calibrations can be read.
    bool three_primaries = true;
    std::map<std::string, std::size_t> records_by_participant;  // without practice
    std::size_t practice = 0;
    std::size_t catch_trials = 0;
    std::size_t right_known = 0;  // answers that can be right or wrong
    // The range of starts of settings, for each axis.
    std::vector<ValueRange> start;
    // The range of levels of answers along one axis. Only trials with a target count.
    ValueRange level;
    // The ranges of the reference's luminance and chromaticity, which follow from its drive values (CIE
    // 1931). They are empty if a calibration cannot be read.
    ValueRange luminance_cd_m2, x, y;
    std::size_t late = 0;  // records with a late or dropped frame
    bool timed_by_frames = false;

    std::size_t records() const;
};

struct Adaptation {
    std::string light;
    double duration_s = 0.0;
    auto operator<=>(const Adaptation&) const = default;
};

struct AskedSeries {
    SeriesFacts facts;
    std::map<std::string, std::size_t> states;  // sessions by state
    std::set<std::string> program_versions;
    std::set<std::string> observers;  // nominal, in words
    std::map<std::string, std::set<std::string>> sessions_by_participant;
    std::set<UsedSource> sources;
    std::set<std::size_t> planned;  // the numbers of settings and answers planned in a session
    std::set<Adaptation> adaptations;
    // The days of sessions by people, as in "2026-11-25".
    std::set<std::string> days;
    std::size_t adaptations_shown = 0;
    // The number of adaptations that ended more than a second before their time.
    std::size_t adaptations_cut_short = 0;
    std::size_t rests = 0;
    std::size_t asked_exclusion = 0;  // sessions with an exclusion question other than flicker's
    // Sessions with the exclusion question of flicker.
    std::size_t asked_before_flicker = 0;
    std::size_t agreed = 0;        // sessions with consent given on a page
    std::size_t disturbances = 0;  // pauses of all sessions
    // Settings whose time had run out.
    std::size_t timed_out = 0;
    std::vector<AskedCondition> conditions;  // in order of their names, settings before answers

    bool simulated() const { return facts.kind == "rehearsal"; }
    std::size_t settings() const { return records(true); }
    std::size_t answers() const { return records(false); }  // without practice
    std::size_t records(bool are_settings) const;
};

}  // namespace isoseam
