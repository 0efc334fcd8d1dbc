#pragma once
// The state says how far a measurement has come. It is a pure fold of its events, so a measurement is resumed
// by folding the log again.

#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "calibration/instruments/instrument.h"
#include "calibration/measuring/measuring_plan.h"

namespace isoseam {

// The following are events. Times are seconds since the measurement began.
struct ReadingTaken {
    std::string step;
    double at_s = 0.0;
    // The spectrum was checked by reading_fault. All spectra of a measurement have the same wavelengths.
    InstrumentSpectrum spectrum;
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
// This event says that somebody decided to measure although white still drifts.
struct WentOnUnsettled {
    double at_s = 0.0;
};
// This event is a remark for the record that changes nothing: a failed reading, a moved window.
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

// This says how much the total of a reading varies from one reading of a light to the next. It has a floor,
// and a part that grows as photon noise does, with the square root of the light; `share` is the SD of this
// part at white. Both are learnt from the warm-up watch and from black, and each has a least value. Until
// then they are the usual values.
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
// White is watched again after an interruption longer than this.
inline constexpr double kLongInterruptionSeconds = 300.0;

struct MeasuringState {
    std::shared_ptr<const MeasuringPlan> plan;
    std::vector<double> wavelengths_nm;  // empty before the first reading
    std::vector<KeptReading> readings;
    std::vector<StepProgress> steps;  // as in the plan
    bool watching = false;            // the warm-up watch goes on
    // False if the measurement was continued although white drifted.
    bool settled = true;
    double watch_from_s = 0.0;
    std::vector<int> watched;  // readings of the present watch
    ReadingScatter noise;
    double last_at_s = 0.0;
    std::vector<std::string> remarks;
};

MeasuringState measuring_begun(const MeasuringPlan& plan);
MeasuringState after(MeasuringState state, const MeasuringEvent& event);

// This is the reading that comes next.
struct ReadNext {
    int step = -1;  // index into the plan's steps; -1: the warm-up watch
    ShownPatch shown;
    double earliest_s = 0.0;
    // True if the patch is not where it was for the reading before, so that the instrument must be moved.
    bool aim = false;
    std::string why;  // for the person: "reading 2 of 2", "departs from its repeats: once more"
};
// This is the drift of white as a share per minute, by a straight line, and the standard error of the line.
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

// -1 gives the step of the warm-up watch
const PlanStep& step_of(const MeasuringPlan& plan, int step);

// Gives the drift over the rule's window at the end of the present watch. There is none before the window is
// full.
std::optional<WarmUpDrift> watched_drift(const MeasuringState& state);

// Says how far the readings of white at the planned patch, without the warm-up watch, went from the first
// one, as a share. It is 0 if there are fewer than two.
double drift_while_measuring(const MeasuringState& state);

// Gives the SD to be expected of one reading with this total.
double expected_sd(const MeasuringState& state, double total);
// Gives the median total of white at the planned patch so far. There is none before the first reading.
std::optional<double> white_total(const MeasuringState& state);

double total_of(const InstrumentSpectrum& spectrum);

// Gives the time that is left in seconds, without the warm-up watch.
double time_left_s(const MeasuringState& state, double reading_s, double settle_s);
int readings_left(const MeasuringState& state);

}  // namespace isoseam
