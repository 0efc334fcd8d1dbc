#pragma once
// The psychometric function: how often an observer succeeds (sees the target, finds it) at a level.
//
//     success = guess + (1 - guess - lapse) F(level)
//     weibull            F = 1 - exp(-(x / threshold)^slope), x >= 0: a logarithmic scale of intensity
//     logistic           F = 1 / (1 + exp(-slope (x - threshold)))
//     cumulative_normal  F = Phi(slope (x - threshold)); slope is 1 / SD
//
// At the threshold F is 1 - 1/e (63.2 %) for the weibull and a half for the others. The guess rate is 1/n
// when the observer must choose one of n places. (Common practice.)
//
//     success_probability({PsychometricForm::weibull, 0.3, 3.5, 0.5, 0.02}, 0.3)  // 0.803

#include <span>
#include <string>

namespace isoseam {

enum class PsychometricForm { weibull, logistic, cumulative_normal };
std::string to_string(PsychometricForm form);

struct PsychometricFunction {
    PsychometricForm form = PsychometricForm::weibull;
    double threshold = 1.0;  // above 0 for a weibull
    double slope = 1.0;      // above 0
    double guess = 0.0;      // guess and lapse are 0 or more, and their sum is below 1
    double lapse = 0.0;
};

// Neither is computed by taking the other from 1, so that small ones keep their digits.
struct AnswerChances {
    double success = 0.0;
    double failure = 0.0;
};
// A negative level of a weibull is a programmer's fault (ISOSEAM_CHECK).
AnswerChances answer_chances(const PsychometricFunction& function, double level);
double success_probability(const PsychometricFunction& function, double level);

struct LevelCount {
    double level = 0.0;
    int trials = 0;
    int successes = 0;
};
// The sum of successes ln(success) + failures ln(failure), without binomial coefficients. It is minus
// infinity for counts that the function makes impossible. More successes than trials are a programmer's
// fault.
double log_likelihood(const PsychometricFunction& function, std::span<const LevelCount> counts);
// Twice the distance between this log-likelihood and the largest one that any probabilities of success, one
// for each level, can reach. Every level needs a trial.
double deviance(const PsychometricFunction& function, std::span<const LevelCount> counts);

}  // namespace isoseam
