#pragma once
// Adjustment on one dimension, made for flicker. The observer moves the level until the flicker is least. For
// two lights in alternation their luminances are then equal. The observer does so several times, from above
// and from below in turn.
//
// Settings tend to end nearer to the side that they came from. When they come from both sides in turn, that
// bias cancels in the mean and shows in the difference. The side of the first setting is drawn.

#include <cstdint>
#include <optional>
#include <vector>

#include "protocols/procedures/trial.h"

namespace isoseam {

struct FlickerNullSpec {
    double centre = 0.0;  // where the null is expected
    // A setting starts at centre + bracket or at centre - bracket, moved by a random amount that is uniform
    // in [-jitter, jitter]. `bracket` is above 0. `jitter` is at least 0 and below `bracket`.
    double bracket = 0.0;
    double jitter = 0.0;
    // The step sizes. Both are above 0, and `coarse` is at least `fine`.
    double fine = 0.0;
    double coarse = 0.0;
    // The limits of the level. All starting points lie within them.
    double lowest = 0.0;
    double highest = 0.0;
    int repeats = 2;                     // The number of settings: even, so that both sides count the same.
    std::optional<double> time_limit_s;  // The time limit of one setting.
};
std::vector<Fault> faults(const FlickerNullSpec& spec);

struct NullSetting {
    double start = 0.0;
    bool from_above = false;
    double level = 0.0;  // Always start + fine * fine_steps + coarse * coarse_steps.
    // The number of steps up minus the number of steps down.
    int fine_steps = 0;
    int coarse_steps = 0;
    int steps = 0;          // The number of steps that were taken.
    int refused_steps = 0;  // Steps that were not taken, because they led beyond the lowest or highest level.
    double elapsed_s = 0.0;
    bool accepted = false;
    bool timed_out = false;  // The time limit passed before acceptance, so there is no setting.
};

struct FlickerNullState {
    std::uint64_t seed = 0;
    std::vector<NullSetting> settings;  // The last one is under way until the run is finished.
    bool finished = false;
};

struct FlickerNullResult {
    std::vector<NullSetting> settings;  // The settings that have ended.
    int accepted = 0;
    int timed_out = 0;
    // These four come from accepted settings. The mean of a side has no value where that side has no setting,
    // and `sd` has none where there are fewer than two settings.
    std::optional<double> mean_from_above;
    std::optional<double> mean_from_below;
    // The mean of these two means, so that both sides count the same. No value where one of them has none.
    std::optional<double> mean;
    std::optional<double> sd;  // The standard deviation of all accepted settings.
};

FlickerNullState start(const FlickerNullSpec& spec, std::uint64_t seed);
std::optional<TrialRequest> next_trial(const FlickerNullSpec& spec, const FlickerNullState& state);
// Takes the responses `step`, `accept` and `waiting`. A step on any axis but 0 is a programmer's fault. A
// response that comes later than the time limit ends the setting and is not taken.
FlickerNullState respond(const FlickerNullSpec& spec, FlickerNullState state, const TrialResponse& response);
FlickerNullResult result(const FlickerNullSpec& spec, const FlickerNullState& state);

}  // namespace isoseam
