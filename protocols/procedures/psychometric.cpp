#include "protocols/procedures/psychometric.h"

#include <fmt/format.h>

#include <cmath>
#include <numbers>

#include "protocols/procedures/trial.h"

namespace isoseam {
namespace {

// F and 1 - F, each to full relative precision.
struct Share {
    double above = 0.0;
    double below = 0.0;
};

Share share_at(const PsychometricFunction& function, double level) {
    switch (function.form) {
        case PsychometricForm::weibull: {
            ISOSEAM_CHECK(level >= 0.0, fmt::format("level {}", level));
            const double u = std::pow(level / function.threshold, function.slope);
            return {-std::expm1(-u), std::exp(-u)};
        }
        case PsychometricForm::logistic: {
            const double z = function.slope * (level - function.threshold);
            return {1.0 / (1.0 + std::exp(-z)), 1.0 / (1.0 + std::exp(z))};
        }
        case PsychometricForm::cumulative_normal:
            break;
    }
    const double z = function.slope * (level - function.threshold) / std::numbers::sqrt2;
    return {0.5 * std::erfc(-z), 0.5 * std::erfc(z)};
}

// The z above which a normal variable lies with this probability, at most a half.
double normal_quantile_above(double tail) {
    double low = 0.0;
    double high = 40.0;  // erfc is 0 beyond
    constexpr int kBisections = 80;
    for (int i = 0; i < kBisections; ++i) {
        const double middle = 0.5 * (low + high);
        (0.5 * std::erfc(middle / std::numbers::sqrt2) > tail ? low : high) = middle;
    }
    return 0.5 * (low + high);
}

double level_of_share(const PsychometricFunction& function, const Share& share) {
    switch (function.form) {
        case PsychometricForm::weibull:
            return function.threshold * std::pow(-std::log(share.below), 1.0 / function.slope);
        case PsychometricForm::logistic:
            return function.threshold + std::log(share.above / share.below) / function.slope;
        case PsychometricForm::cumulative_normal:
            break;
    }
    const double z =
        share.above > share.below ? normal_quantile_above(share.below) : -normal_quantile_above(share.above);
    return function.threshold + z / function.slope;
}

double weighted_log(int count, double probability) {
    return count == 0 ? 0.0 : static_cast<double>(count) * std::log(probability);
}

}  // namespace

std::string to_string(PsychometricForm form) {
    switch (form) {
        case PsychometricForm::weibull:
            return "weibull";
        case PsychometricForm::logistic:
            return "logistic";
        case PsychometricForm::cumulative_normal:
            return "cumulative_normal";
    }
    ISOSEAM_CHECK(false, "unknown psychometric form");
    return {};
}

std::vector<Fault> faults(const PsychometricFunction& function) {
    SpecFaults found;
    if (function.form == PsychometricForm::weibull)
        found.require(function.threshold > 0.0 && std::isfinite(function.threshold), "threshold",
                      fmt::format("{:g} is no threshold of a weibull", function.threshold),
                      "write a number above 0");
    else
        found.require(std::isfinite(function.threshold), "threshold", "the threshold is no finite number",
                      "write a number");
    found.require(function.slope > 0.0 && std::isfinite(function.slope), "slope",
                  fmt::format("{:g} is no slope", function.slope), "write a number above 0");
    found.require(function.guess >= 0.0, "guess", fmt::format("{:g} is no probability", function.guess),
                  "write a number from 0 to below 1");
    found.require(function.lapse >= 0.0, "lapse", fmt::format("{:g} is no probability", function.lapse),
                  "write a number from 0 to below 1");
    found.require(
        function.guess + function.lapse < 1.0, "lapse",
        fmt::format("guess {:g} and lapse {:g} leave nothing to the level", function.guess, function.lapse),
        "let their sum be below 1");
    return found.all();
}

double success_probability(const PsychometricFunction& function, double level) {
    const double span = 1.0 - function.guess - function.lapse;
    return function.guess + span * share_at(function, level).above;
}

double failure_probability(const PsychometricFunction& function, double level) {
    const double span = 1.0 - function.guess - function.lapse;
    return function.lapse + span * share_at(function, level).below;
}

double level_of(const PsychometricFunction& function, double probability) {
    if (!(probability > function.guess && probability < 1.0 - function.lapse))
        throw InputError(Fault{"", 0, 0, "probability",
                               fmt::format("no level gives {:g} % successes", 100.0 * probability),
                               fmt::format("ask for more than the guess, {:g} %, and less than {:g} %",
                                           100.0 * function.guess, 100.0 * (1.0 - function.lapse))});
    const double span = 1.0 - function.guess - function.lapse;
    return level_of_share(
        function, {(probability - function.guess) / span, (1.0 - function.lapse - probability) / span});
}

double log_likelihood(const PsychometricFunction& function, std::span<const LevelCount> counts) {
    double sum = 0.0;
    for (const LevelCount& count : counts) {
        ISOSEAM_CHECK(count.successes >= 0 && count.successes <= count.trials,
                      fmt::format("{} of {}", count.successes, count.trials));
        sum += weighted_log(count.successes, success_probability(function, count.level)) +
               weighted_log(count.trials - count.successes, failure_probability(function, count.level));
    }
    return sum;
}

}  // namespace isoseam
