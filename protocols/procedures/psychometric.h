#pragma once
// The psychometric function: how often an observer succeeds (sees the target, finds it) at a level.
//
//     success = guess + (1 - guess - lapse) F(level)
//     weibull            F = 1 - exp(-(x / threshold)^slope), x >= 0: a logarithmic scale of intensity
//     logistic           F = 1 / (1 + exp(-slope (x - threshold)))
//     cumulative_normal  F = Phi(slope (x - threshold)); slope is 1 / SD
// At the threshold F is 1 - 1/e (63.2 %) for the first, a half for the others. Guess is 1/n when the observer
// must choose one of n places. (Common practice.)

#include <span>
#include <string>
#include <vector>

#include "base/errors.h"

namespace isoseam {

enum class PsychometricForm { weibull, logistic, cumulative_normal };
std::string to_string(PsychometricForm form);

struct PsychometricFunction {
    PsychometricForm form = PsychometricForm::weibull;
    double threshold = 1.0;  // > 0 for weibull
    double slope = 1.0;      // > 0
    double guess = 0.0;      // guess, lapse >= 0, guess + lapse < 1
    double lapse = 0.0;
};
std::vector<Fault> faults(const PsychometricFunction& function);

// Both are computed without taking one from 1, so that small ones are exact. A negative level of a weibull is
// a programmer's fault.
double success_probability(const PsychometricFunction& function, double level);
double failure_probability(const PsychometricFunction& function, double level);

// The level at which successes have this probability; InputError unless it lies between guess and 1 - lapse.
double level_of(const PsychometricFunction& function, double probability);

struct LevelCount {
    double level = 0.0;
    int trials = 0;
    int successes = 0;
};
// The kernel: sum of successes ln(success) + failures ln(failure), without binomial coefficients. Minus
// infinity for counts that the function makes impossible.
double log_likelihood(const PsychometricFunction& function, std::span<const LevelCount> counts);

}  // namespace isoseam
