#pragma once
// Where a measurement stands: a pure fold of its events. Resuming is folding the log again.

#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "calibration/instruments/instrument.h"
#include "calibration/measuring/measuring_plan.h"

namespace isoseam {

// Events. Times are seconds since the measurement began.
struct ReadingTaken {
    std::string step;
    double at_s = 0.0;
    InstrumentSpectrum spectrum;  // checked by reading_fault; all of a measurement share their wavelengths
};
struct StepLeftOut {
    std::string step;
    double at_s = 0.0;
    std::string reason;
};
// The measurement goes on after an interruption. After a long one the screen may have been off, so white is
// watched again.
struct MeasurementResumed {
    double at_s = 0.0;
};
// Somebody decided to measure although white still drifts.
struct WentOnUnsettled {
    double at_s = 0.0;
};
// Something for the record that changes nothing: a failed reading, a moved window.
struct Remark {
    double at_s = 0.0;
    std::string words;
};
using MeasuringEvent = std::variant<ReadingTaken, StepLeftOut, MeasurementResumed, WentOnUnsettled, Remark>;

struct KeptReading {
    int step = -1;  // index into the plan's steps; -1: the warm-up watch
    double at_s = 0.0;
    std::vector<double> values;
    double total = 0.0;      // sum over wavelength of values, by trapezoid
    bool set_aside = false;  // departs from the others of its step
};

struct StepProgress {
    std::vector<int> readings;  // indices into MeasuringState::readings
    bool done = false;
    bool unsteady = false;  // its readings never agreed: all are kept
    std::string left_out;   // the reason, where it was left out
};

// How much a reading's total varies from one reading of a light to the next: the floor and the part that
// grows as photons do, with the square root of the light; `share` is its SD at white. Both are learnt from
// the warm-up watch and from black, and have a least value each; until then they are the usual values.
struct ReadingScatter {
    double share = 0.005;
    double floor_share = 1e-4;  // of white's total
};
inline constexpr double kLeastNoiseShare = 0.0005;
inline constexpr double kLeastFloorShare = 2e-5;

// A reading departs from its repeats when it is this many SDs from their median.
inline constexpr double kDepartureSds = 5.0;
// How many readings more than planned a step may ask for.
inline constexpr int kMostExtraReadings = 4;
// An interruption after which white is watched anew.
inline constexpr double kLongInterruptionSeconds = 300.0;

struct MeasuringState {
    std::shared_ptr<const MeasuringPlan> plan;
    std::vector<double> wavelengths_nm;  // empty before the first reading
    std::vector<KeptReading> readings;
    std::vector<StepProgress> steps;  // as in the plan
    bool watching = false;            // the warm-up watch goes on
    bool settled = true;              // false: went on although white drifted
    double watch_from_s = 0.0;
    std::vector<int> watched;  // readings of the present watch
    ReadingScatter noise;
    double last_at_s = 0.0;
    std::vector<std::string> remarks;
};

MeasuringState measuring_begun(const MeasuringPlan& plan);
MeasuringState after(MeasuringState state, const MeasuringEvent& event);

// What comes next.
struct ReadNext {
    int step = -1;  // index into the plan's steps; -1: the warm-up watch
    ShownPatch shown;
    double earliest_s = 0.0;
    bool aim =
        false;  // the patch stands elsewhere than for the reading before, so the instrument must be moved
    std::string why;  // for the person: "reading 2 of 2", "departs from its repeats: once more"
};
// White's drift as a share per minute, by a straight line, and the line's standard error.
struct WarmUpDrift {
    double per_min = 0.0;
    double standard_error = 0.0;
};
struct StillDrifting {
    WarmUpDrift drift;
    double watched_s = 0.0;
};
struct AllRead {};
using MeasuringNext = std::variant<ReadNext, StillDrifting, AllRead>;
MeasuringNext next_of(const MeasuringState& state);

const PlanStep& step_of(const MeasuringPlan& plan, int step);  // -1: the watch's

// Over the rule's window at the end of the present watch. Nothing before the window is full.
std::optional<WarmUpDrift> watched_drift(const MeasuringState& state);

// The readings of white at the planned patch, warm-up watch excluded: how far they went from the first, as a
// share; 0 without two.
double drift_while_measuring(const MeasuringState& state);

// SD to be expected of one reading whose total is so.
double expected_sd(const MeasuringState& state, double total);
// Median total of white at the planned patch so far; nothing before the first.
std::optional<double> white_total(const MeasuringState& state);

double total_of(const InstrumentSpectrum& spectrum);

// What is left to do, in seconds, warm-up watch excluded.
double time_left_s(const MeasuringState& state, double reading_s, double settle_s);
int readings_left(const MeasuringState& state);

}  // namespace isoseam
