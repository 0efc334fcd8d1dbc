#include "analysis/fits/psychometric_information.h"

#include <Eigen/Dense>

namespace isoseam {
namespace {

// Steps whose squares still stand well above rounding, relative to a parameter's own scale.
constexpr double kDerivativeStep = 1e-4;

struct Steps {
    double threshold;
    double slope;
};

Steps steps_of(const PsychometricFunction& curve) {
    const double scale =
        curve.form == PsychometricForm::weibull ? curve.threshold / curve.slope : 1.0 / curve.slope;
    return {kDerivativeStep * scale, kDerivativeStep * curve.slope};
}

PsychometricFunction moved(PsychometricFunction curve, const Steps& steps, int along_threshold,
                           int along_slope) {
    curve.threshold += along_threshold * steps.threshold;
    curve.slope += along_slope * steps.slope;
    return curve;
}

Eigen::Matrix2d observed_information(const PsychometricFunction& curve, std::span<const LevelCount> counts) {
    const Steps steps = steps_of(curve);
    const auto value = [&](int i, int j) { return log_likelihood(moved(curve, steps, i, j), counts); };
    const double middle = value(0, 0);
    Eigen::Matrix2d second;
    second(0, 0) = (value(1, 0) - 2.0 * middle + value(-1, 0)) / (steps.threshold * steps.threshold);
    second(1, 1) = (value(0, 1) - 2.0 * middle + value(0, -1)) / (steps.slope * steps.slope);
    second(0, 1) =
        (value(1, 1) - value(1, -1) - value(-1, 1) + value(-1, -1)) / (4.0 * steps.threshold * steps.slope);
    second(1, 0) = second(0, 1);
    return -second;
}

Eigen::Matrix2d expected_information(const PsychometricFunction& curve, std::span<const LevelCount> counts) {
    const Steps steps = steps_of(curve);
    Eigen::Matrix2d sum = Eigen::Matrix2d::Zero();
    for (const LevelCount& count : counts) {
        const auto value = [&](int i, int j) {
            return success_probability(moved(curve, steps, i, j), count.level);
        };
        const Eigen::Vector2d gradient((value(1, 0) - value(-1, 0)) / (2.0 * steps.threshold),
                                       (value(0, 1) - value(0, -1)) / (2.0 * steps.slope));
        const auto [success, failure] = answer_chances(curve, count.level);
        if (success > 0.0 && failure > 0.0)
            sum += count.trials / (success * failure) * gradient * gradient.transpose();
    }
    return sum;
}

}  // namespace

std::optional<std::vector<double>> covariance(const PsychometricFunction& curve,
                                              std::span<const LevelCount> counts, Information information) {
    const Eigen::Matrix2d matrix = information == Information::observed ? observed_information(curve, counts)
                                                                        : expected_information(curve, counts);
    // NaN, as of an impossible neighbour, fails too.
    if (!(matrix(0, 0) > 0.0 && matrix(1, 1) > 0.0 && matrix.determinant() > 0.0))
        return std::nullopt;
    const Eigen::Matrix2d inverse = matrix.inverse();
    return std::vector<double>{inverse(0, 0), inverse(0, 1), inverse(1, 1)};
}

}  // namespace isoseam
