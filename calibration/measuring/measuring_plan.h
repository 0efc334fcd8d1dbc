#pragma once
// A plan says what will be measured of a screen and in which order. It is made once, from a few options,
// before anything is shown.
//
//     const MeasuringPlan plan = make_plan({.kind = PlanKind::quick});

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "calibration/readings.h"

namespace isoseam {

enum class PlanKind {
    quick,  // a first look: one reading a step
    full,   // a calibration for data, with its checks
    drift,  // how long the screen takes to settle and how steady it stays
};
std::string plan_kind_word(PlanKind kind);
PlanKind parse_plan_kind(const std::string& word, const std::string& key);  // InputError lists the words

enum class Purpose {
    warm_up,       // white, until it has settled
    black,         // all drives 0
    ramp,          // one primary alone
    white_ramp,    // all primaries at one drive
    mixture,       // two primaries at once
    verification,  // colours that no fit shall see
    drift_check,   // white again
    patch_size,    // white on patches of other sizes
    uniformity,    // white at other places
};

// The warm-up watch is at the beginning: white is read every `interval_s` until, over the last `window_s` (or
// a longer time, if the noise requires it), it drifts by less than `settled_per_min` (the slope and the
// slope's standard error together).
struct WarmUpRule {
    bool watch = true;
    double interval_s = 20.0;
    double window_s = 300.0;
    double settled_per_min = 0.001;
    double longest_s = 3600.0;
};

// The usual patch is a tenth of the screen's area (common practice for panels that dim large areas, no
// source).
inline constexpr PatchPlace kUsualPatch{0.5, 0.5, 0.32, 0.32};

struct PlanOptions {
    PlanKind kind = PlanKind::full;
    std::vector<std::string> primaries{"r", "g", "b"};  // 3 to 16
    int bits = 8;                                       // of the frame buffer: every drive is a code of it
    PatchPlace patch = kUsualPatch;
    // The drive of everything else on the screen; dark if it is empty.
    Drive surround;
    std::uint64_t seed = 1;  // of order and verification colours
    // The number of readings for each step, if it is not the plan's own.
    std::optional<int> repeats;
    std::optional<int> places;              // of uniformity: 0, 5 or 9
    bool patch_sizes = true;                // full plan only
    double duration_s = 3600.0;             // of the drift plan
    std::optional<double> settled_per_min;  // of the warm-up watch
    std::optional<double> longest_warm_up_s;
    bool warm_up = true;
};

struct PlanStep {
    std::string id;  // unique; words and numbers with points between: "ramp.r.128"
    Purpose purpose = Purpose::black;
    Drive drive;
    PatchPlace place;
    int repeats = 1;
    // The time since the beginning of the measurement. If it is 0, the step is read as soon as it is its
    // turn.
    double earliest_s = 0.0;
};

struct MeasuringPlan {
    PlanOptions options;
    WarmUpRule warm_up;
    // The white of the warm-up watch, which is read as often as needed.
    PlanStep watch;
    std::vector<PlanStep> steps;
};

// Throws InputError with the key "--patch" when the patch does not lie on the screen, and with the keys
// "--repeats", "--places", "--surround", "--bits", "--duration" and "primaries" for values outside what is
// written above. The same options give the same plan.
MeasuringPlan make_plan(const PlanOptions& options);

int planned_readings(const MeasuringPlan& plan);  // without the warm-up watch

// This is how long the plan takes with an instrument that needs `reading_s` for one reading, pauses between
// patches included: with the shortest and with the longest warm-up watch.
struct PlannedTime {
    double shortest_s = 0.0;
    double longest_s = 0.0;
};
// The time from a new patch to its reading (common practice, no source).
inline constexpr double kUsualSettleSeconds = 0.5;
PlannedTime planned_time(const MeasuringPlan& plan, double reading_s, double settle_s = kUsualSettleSeconds);

// Gives the plan in words for a person: what is shown, how often, why, and how long it takes.
std::string plan_words(const MeasuringPlan& plan, double reading_s, double settle_s = kUsualSettleSeconds);

// Gives all steps as one text, to see whether two plans are the same.
std::string plan_text(const MeasuringPlan& plan);

}  // namespace isoseam
