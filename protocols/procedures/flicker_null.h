#pragma once
// Adjustment on one dimension, made for flicker: the observer moves the level until the flicker is least (of
// two lights in alternation: until their luminances are equal), several times, from above and below in turn.
//
// Bracketing: settings end nearer to the side that they came from; from both sides in turn that bias cancels
// in the mean and shows in the difference. The first side is drawn.

#include <cstdint>
#include <optional>
#include <vector>

#include "protocols/procedures/trial.h"

namespace isoseam {

struct FlickerNullSpec {
    double centre = 0.0;   // where the null is expected
    double bracket = 0.0;  // settings start this far above and below the centre; > 0
    double jitter = 0.0;   // and are drawn uniformly this far about there; 0 to below bracket
    double fine = 0.0;     // steps, > 0; coarse >= fine
    double coarse = 0.0;
    double lowest = 0.0;  // starting points lie within
    double highest = 0.0;
    int repeats = 2;                     // settings; even, so that both sides count alike
    std::optional<double> time_limit_s;  // of a setting
};
std::vector<Fault> faults(const FlickerNullSpec& spec);

struct NullSetting {
    double start = 0.0;
    bool from_above = false;
    double level = 0.0;  // always start + fine steps + coarse steps
    int fine_steps = 0;  // up minus down
    int coarse_steps = 0;
    int steps = 0;          // taken
    int refused_steps = 0;  // beyond lowest or highest: not taken
    double elapsed_s = 0.0;
    bool accepted = false;
    bool timed_out = false;  // the limit passed before acceptance: no setting
};

struct FlickerNullState {
    std::uint64_t seed = 0;
    std::vector<NullSetting> settings;  // the last one is under way until finished
    bool finished = false;
};

struct FlickerNullResult {
    std::vector<NullSetting> settings;  // those that ended
    int accepted = 0;
    int timed_out = 0;
    // Of accepted settings; none where there are none, the SD none below two.
    std::optional<double> mean_from_above;
    std::optional<double> mean_from_below;
    std::optional<double> mean;  // of these two, so that both sides count alike
    std::optional<double> sd;    // of all
};

FlickerNullState start(const FlickerNullSpec& spec, std::uint64_t seed);
std::optional<TrialRequest> next_trial(const FlickerNullSpec& spec, const FlickerNullState& state);
// Takes step (any axis is a programmer's fault but 0), accept and waiting. A response later than the time
// limit ends the setting and is not taken.
FlickerNullState respond(const FlickerNullSpec& spec, FlickerNullState state, const TrialResponse& response);
FlickerNullResult result(const FlickerNullSpec& spec, const FlickerNullState& state);

}  // namespace isoseam
