#pragma once
// The staircase: a level on one dimension that goes down after successes and up after failures.
//
// `down` successes in a row take the level one step down, and `up` failures in a row take it one step up. A
// success ends a row of failures, and a failure ends a row of successes. Steps down and up may be unequal,
// and both may shrink with reversals. A reversal is the level of the trial whose answer turns the direction
// of movement. The first move turns nothing. Several tracks may be interleaved: the trials then come in
// rounds, with one trial for each unfinished track, in an order that is drawn from the seed.

#include <cstdint>
#include <optional>
#include <vector>

#include "protocols/procedures/trial.h"

namespace isoseam {

enum class StepScale {
    linear,  // Steps are differences of level.
    log10,   // Steps are differences of log10 level. All levels are above 0.
};

struct StaircaseTrack {
    double start = 0.0;
    // The limits of the level: lowest <= start <= highest, and lowest < highest.
    double lowest = 0.0;
    double highest = 0.0;
};

struct StaircaseSpec {
    // At least one track. What a track stands for is the caller's decision.
    std::vector<StaircaseTrack> tracks;
    StepScale scale = StepScale::linear;
    int down = 1;
    int up = 1;
    // The sizes of steps after 0, 1, 2 ... reversals. The step that makes a reversal already has the new
    // size. The last size stays in use. Both lists are equally long, and all sizes are above 0.
    std::vector<double> step_down;
    std::vector<double> step_up;
    // A track ends at so many reversals or at so many trials, whichever comes first. At least one of the two
    // must have a value.
    std::optional<int> reversals;
    std::optional<int> trials;
    int discard = 0;  // The number of first reversals that the estimate leaves out.
};
std::vector<Fault> faults(const StaircaseSpec& spec);

// The step up that takes a staircase with one down and one up to the share p of successes. At that share the
// steps balance: step_down p = step_up (1 - p). This is the weighted rule, which is common practice.
double weighted_step_up(double step_down, double p);

// The share of successes at which steps down and steps up balance. Of the spec's lists of steps it takes the
// last ones. Let D be the probability that a row of `down` successes comes before a row of `up` failures.
// Then the balance is D step_down = (1 - D) step_up. For one up this is
// p^down = step_up / (step_up + step_down): 0.5^(1/down) with equal steps, and 77.85, 80.35, 83.15, 85.84 %
// for the ratios step_down / step_up 0.2845, 0.5488, 0.7393, 0.8415 with one to four down (Garcia-Perez 1998,
// Vision Research 38, 1861). The mean of reversals comes close to that level but never exactly to it, because
// the psychometric function is curved within a step.
double convergence_level(int down, int up, double step_down, double step_up);
double convergence_level(const StaircaseSpec& spec);

struct StaircaseTrackState {
    // The level is base + steps, or base x 10^steps on a log10 scale. The steps are kept as the number of
    // times that each step size was taken, so that a step down and a step up end at exactly the same level.
    double base = 0.0;
    std::vector<int> taken_down;
    std::vector<int> taken_up;
    double level = 0.0;
    int successes_in_row = 0;
    int failures_in_row = 0;
    int direction = 0;              // The direction of the last move: -1 or +1. 0 before the first move.
    std::vector<double> reversals;  // The levels of the reversals.
    int trials = 0;
    // The number of steps that were cut short, or not taken at all, at the lowest or the highest level.
    int limited_steps = 0;
    bool finished = false;
};

struct StaircaseState {
    std::uint64_t seed = 0;
    std::vector<StaircaseTrackState> tracks;
    std::vector<int> order;  // The tracks of this round, in the order of their trials.
    int round = 0;
    int turn = 0;
    bool finished = false;
};

struct StaircaseResult {
    struct Track {
        // The mean of the reversals, or of their logarithms on a log10 scale. The discarded reversals are
        // left out. Where an odd number remains, one more is left out, because a peak and a trough belong
        // together. The estimate has no value where not even one such pair remains. It is a quick one: a
        // psychometric function fitted to all trials is better.
        std::optional<double> estimate;
        std::vector<double> reversals;
        int used_reversals = 0;  // The estimate uses so many of the last reversals.
        int trials = 0;
        int limited_steps = 0;
        bool finished = false;
    };
    std::vector<Track> tracks;
    double convergence_level = 0.0;
};

StaircaseState start(const StaircaseSpec& spec, std::uint64_t seed);
std::optional<LevelRequest> next_trial(const StaircaseSpec& spec, const StaircaseState& state);
StaircaseState respond(const StaircaseSpec& spec, StaircaseState state, bool success);
StaircaseResult result(const StaircaseSpec& spec, const StaircaseState& state);

}  // namespace isoseam
