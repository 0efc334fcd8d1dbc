#pragma once
// What a set of sessions asked, as far as headers and records tell: they hold the protocol as text only,
// which is not read here.

#include <array>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "analysis/summaries/series_facts.h"
#include "results_schema/session_folder.h"

namespace isoseam {

// A source as sessions had it.
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

// One condition, settings and answers apart.
struct AskedCondition {
    std::string condition;
    std::string form;  // "setting", or of answers as recorded: "yes_no", "place", "same_different", "rating"
    std::optional<int> places;  // of forced choice
    std::string space;
    std::vector<std::string> axes;
    std::set<std::string> shown_halves, shown_sources;  // adjusted, or with the light at the level
    std::set<std::string> reference_halves, reference_sources;
    bool shares_primaries = false;  // in all records; false too where a calibration cannot be read
    bool primaries_known = true;
    bool three_primaries = true;  // in all sources of all records, as far as calibrations can be read
    std::map<std::string, std::size_t> records_by_participant;  // without practice
    std::size_t practice = 0;
    std::size_t catch_trials = 0;
    std::size_t right_known = 0;    // answers that can be right or wrong
    std::vector<ValueRange> start;  // of settings, per axis
    ValueRange level;               // of answers along one axis, targets only
    // Of the reference by its drive values, CIE 1931; empty where a calibration cannot be read.
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
    std::set<std::size_t> planned;  // settings and answers of a session
    std::set<Adaptation> adaptations;
    std::set<std::string> days;  // of sessions by people, "2026-11-25"
    std::size_t adaptations_shown = 0;
    std::size_t adaptations_cut_short = 0;  // ended more than a second before their time
    std::size_t rests = 0;
    std::size_t asked_exclusion = 0;         // sessions with an exclusion question other than flicker's
    std::size_t asked_before_flicker = 0;    // sessions with that of flicker
    std::size_t agreed = 0;                  // sessions with consent given on a page
    std::size_t disturbances = 0;            // pauses of all sessions
    std::size_t timed_out = 0;               // settings whose time was over
    std::vector<AskedCondition> conditions;  // in order of their names, settings before answers

    bool simulated() const { return facts.kind == "rehearsal"; }
    std::size_t settings() const;
    std::size_t answers() const;  // without practice
};

}  // namespace isoseam
