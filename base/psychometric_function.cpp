#include "base/psychometric_function.h"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <numbers>

#include "base/errors.h"

namespace isoseam {
namespace {

// F and 1 - F, each to full relative precision.
struct Share {
    double above = 0.0;
    double below = 0.0;
};

Share share_at(const PsychometricFunction& function, double level) {
    if (function.form == PsychometricForm::weibull) {
        ISOSEAM_CHECK(level >= 0.0, fmt::format("level {}", level));
        const double u = std::pow(level / function.threshold, function.slope);
        return {-std::expm1(-u), std::exp(-u)};
    }
    const double z = function.slope * (level - function.threshold);
    if (function.form == PsychometricForm::logistic)
        return {1.0 / (1.0 + std::exp(-z)), 1.0 / (1.0 + std::exp(z))};
    return {0.5 * std::erfc(-z / std::numbers::sqrt2), 0.5 * std::erfc(z / std::numbers::sqrt2)};
}

double weighted_log(int count, double probability) {
    return count == 0 ? 0.0 : static_cast<double>(count) * std::log(probability);
}

}  // namespace

std::string to_string(PsychometricForm form) {
    static constexpr std::array<const char*, 3> kWords{"weibull", "logistic", "cumulative_normal"};
    return kWords.at(static_cast<std::size_t>(form));
}

AnswerChances answer_chances(const PsychometricFunction& function, double level) {
    const double span = 1.0 - function.guess - function.lapse;
    const Share share = share_at(function, level);
    return {function.guess + span * share.above, function.lapse + span * share.below};
}

double success_probability(const PsychometricFunction& function, double level) {
    return answer_chances(function, level).success;
}

double log_likelihood(const PsychometricFunction& function, std::span<const LevelCount> counts) {
    double sum = 0.0;
    for (const LevelCount& count : counts) {
        ISOSEAM_CHECK(count.successes >= 0 && count.successes <= count.trials,
                      fmt::format("{} of {}", count.successes, count.trials));
        const AnswerChances chances = answer_chances(function, count.level);
        sum += weighted_log(count.successes, chances.success) +
               weighted_log(count.trials - count.successes, chances.failure);
    }
    return sum;
}

double deviance(const PsychometricFunction& function, std::span<const LevelCount> counts) {
    double own = 0.0;
    for (const LevelCount& count : counts) {
        const double share = static_cast<double>(count.successes) / count.trials;
        own +=
            weighted_log(count.successes, share) + weighted_log(count.trials - count.successes, 1.0 - share);
    }
    return 2.0 * (own - log_likelihood(function, counts));
}

}  // namespace isoseam
