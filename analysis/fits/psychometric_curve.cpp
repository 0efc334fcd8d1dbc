// The curves themselves, and how well one goes with counts.
#include <fmt/format.h>

#include <Eigen/Dense>
#include <array>
#include <cmath>
#include <limits>
#include <numbers>

#include "analysis/fits/psychometric_fit.h"

namespace isoseam {
namespace {

// F and 1 - F, neither taken from 1, so that small ones are exact.
std::array<double, 2> shares(FitForm form, const FitCurve& curve, double level) {
    if (form == FitForm::weibull) {
        ISOSEAM_CHECK(level >= 0.0, fmt::format("level {}", level));
        const double u = std::pow(level / curve.threshold, curve.slope);
        return {-std::expm1(-u), std::exp(-u)};
    }
    const double z = curve.slope * (level - curve.threshold);
    if (form == FitForm::logistic)
        return {1.0 / (1.0 + std::exp(-z)), 1.0 / (1.0 + std::exp(z))};
    return {0.5 * std::erfc(-z / std::numbers::sqrt2), 0.5 * std::erfc(z / std::numbers::sqrt2)};
}

// Probabilities of success and failure.
std::array<double, 2> probabilities(FitForm form, const FitCurve& curve, double level) {
    const double span = 1.0 - curve.guess - curve.lapse;
    const auto [above, below] = shares(form, curve, level);
    return {curve.guess + span * above, curve.lapse + span * below};
}

double weighted_log(int count, double probability) {
    return count == 0 ? 0.0 : static_cast<double>(count) * std::log(probability);
}

// Steps whose squares still stand well above rounding, relative to a parameter's own scale.
constexpr double kDerivativeStep = 1e-4;

struct Steps {
    double threshold;
    double slope;
};

Steps steps_of(FitForm form, const FitCurve& curve) {
    const double scale = form == FitForm::weibull ? curve.threshold / curve.slope : 1.0 / curve.slope;
    return {kDerivativeStep * scale, kDerivativeStep * curve.slope};
}

FitCurve moved(FitCurve curve, const Steps& steps, int along_threshold, int along_slope) {
    curve.threshold += along_threshold * steps.threshold;
    curve.slope += along_slope * steps.slope;
    return curve;
}

Eigen::Matrix2d observed_information(FitForm form, const FitCurve& curve,
                                     std::span<const LevelTally> counts) {
    const Steps steps = steps_of(form, curve);
    const auto value = [&](int i, int j) { return log_likelihood(form, moved(curve, steps, i, j), counts); };
    const double middle = value(0, 0);
    Eigen::Matrix2d second;
    second(0, 0) = (value(1, 0) - 2.0 * middle + value(-1, 0)) / (steps.threshold * steps.threshold);
    second(1, 1) = (value(0, 1) - 2.0 * middle + value(0, -1)) / (steps.slope * steps.slope);
    second(0, 1) =
        (value(1, 1) - value(1, -1) - value(-1, 1) + value(-1, -1)) / (4.0 * steps.threshold * steps.slope);
    second(1, 0) = second(0, 1);
    return -second;
}

Eigen::Matrix2d expected_information(FitForm form, const FitCurve& curve,
                                     std::span<const LevelTally> counts) {
    const Steps steps = steps_of(form, curve);
    Eigen::Matrix2d sum = Eigen::Matrix2d::Zero();
    for (const LevelTally& count : counts) {
        const auto value = [&](int i, int j) {
            return probabilities(form, moved(curve, steps, i, j), count.level)[0];
        };
        const Eigen::Vector2d gradient((value(1, 0) - value(-1, 0)) / (2.0 * steps.threshold),
                                       (value(0, 1) - value(0, -1)) / (2.0 * steps.slope));
        const auto [success, failure] = probabilities(form, curve, count.level);
        if (success > 0.0 && failure > 0.0)
            sum += count.trials / (success * failure) * gradient * gradient.transpose();
    }
    return sum;
}

}  // namespace

std::string to_string(FitForm form) {
    switch (form) {
        case FitForm::weibull:
            return "weibull";
        case FitForm::logistic:
            return "logistic";
        case FitForm::cumulative_normal:
            break;
    }
    return "cumulative_normal";
}

double success_probability(FitForm form, const FitCurve& curve, double level) {
    return probabilities(form, curve, level)[0];
}

double log_likelihood(FitForm form, const FitCurve& curve, std::span<const LevelTally> counts) {
    double sum = 0.0;
    for (const LevelTally& count : counts) {
        const auto [success, failure] = probabilities(form, curve, count.level);
        sum += weighted_log(count.successes, success) + weighted_log(count.trials - count.successes, failure);
    }
    return sum;
}

double deviance(FitForm form, const FitCurve& curve, std::span<const LevelTally> counts) {
    double own = 0.0;
    for (const LevelTally& count : counts) {
        const double share = static_cast<double>(count.successes) / count.trials;
        own +=
            weighted_log(count.successes, share) + weighted_log(count.trials - count.successes, 1.0 - share);
    }
    return 2.0 * (own - log_likelihood(form, curve, counts));
}

std::optional<std::vector<double>> covariance(FitForm form, const FitCurve& curve,
                                              std::span<const LevelTally> counts, Information information) {
    const Eigen::Matrix2d matrix = information == Information::observed
                                       ? observed_information(form, curve, counts)
                                       : expected_information(form, curve, counts);
    // NaN, as of an impossible neighbour, fails too.
    if (!(matrix(0, 0) > 0.0 && matrix(1, 1) > 0.0 && matrix.determinant() > 0.0))
        return std::nullopt;
    const Eigen::Matrix2d inverse = matrix.inverse();
    return std::vector<double>{inverse(0, 0), inverse(0, 1), inverse(1, 1)};
}

}  // namespace isoseam
