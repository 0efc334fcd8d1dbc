#pragma once
// The staircase: a level that goes down after successes and up after failures, on one dimension.
//
// `down` successes in a row take one step down, `up` failures in a row one step up; a success ends a row of
// failures and a failure a row of successes. Steps may be unequal and may shrink with reversals. A reversal
// is the level of the trial whose answer turns the direction of movement; the first move turns nothing.
// Several tracks may be interleaved: rounds of one trial for each unfinished track, in seeded random order.

#include <cstdint>
#include <optional>
#include <vector>

#include "protocols/procedures/trial.h"

namespace isoseam {

enum class StepScale {
    linear,  // steps are differences of level
    log10,   // steps are differences of log10 level; levels > 0
};

struct StaircaseTrack {
    double start = 0.0;
    double lowest = 0.0;  // lowest <= start <= highest, lowest < highest
    double highest = 0.0;
};

struct StaircaseSpec {
    std::vector<StaircaseTrack> tracks;  // at least one; what a track stands for is the caller's affair
    StepScale scale = StepScale::linear;
    int down = 1;
    int up = 1;
    // Steps after 0, 1, 2 ... reversals, the turning step included; the last one stays. Equally many, > 0.
    std::vector<double> step_down;
    std::vector<double> step_up;
    // A track ends at whichever comes first; at least one of them.
    std::optional<int> reversals;
    std::optional<int> trials;
    int discard = 0;  // reversals left out of the estimate
};
std::vector<Fault> faults(const StaircaseSpec& spec);

// The step up that takes a staircase of one down, one up to the share p of successes: where it stays,
// step_down p = step_up (1 - p). (Weighted rule; common practice.)
double weighted_step_up(double step_down, double p);

// The share of successes at which steps down and up hold the balance, by the last steps of the list. With a
// row of `down` successes coming before a row of `up` failures with probability D, that is D step_down = (1 -
// D) step_up. For one up this is p^down = step_up / (step_up + step_down): 0.5^(1/down) with equal steps,
// and 77.85, 80.35, 83.15, 85.84 % for the ratios step_down / step_up 0.2845, 0.5488, 0.7393, 0.8415 with one
// to four down (Garcia-Perez 1998, Vision Research 38, 1861). The mean of reversals comes close to that
// level, never exactly to it, since the psychometric function is curved within a step.
double convergence_level(int down, int up, double step_down, double step_up);
double convergence_level(const StaircaseSpec& spec);

struct StaircaseTrackState {
    // The level is base + steps (or base x 10^steps), by how often each step size was taken, so that a step
    // there and back ends at the very same level.
    double base = 0.0;
    std::vector<int> taken_down;
    std::vector<int> taken_up;
    double level = 0.0;
    int successes_in_row = 0;
    int failures_in_row = 0;
    int direction = 0;              // of the last move: -1, +1; 0 before it
    std::vector<double> reversals;  // levels
    int trials = 0;
    int limited_steps = 0;  // cut short, or not taken at all, at lowest or highest
    bool finished = false;
};

struct StaircaseState {
    std::uint64_t seed = 0;
    std::vector<StaircaseTrackState> tracks;
    std::vector<int> order;  // of this round's tracks
    int round = 0;
    int turn = 0;
    bool finished = false;
};

struct StaircaseResult {
    struct Track {
        // Mean of the reversals (of their logarithms on a log10 scale) without the discarded ones, and
        // without one more where their count is odd, since a peak and a trough belong together. None without
        // a pair. Quick to read; a psychometric function fitted to all trials is better.
        std::optional<double> estimate;
        std::vector<double> reversals;
        int used_reversals = 0;  // the last ones
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
