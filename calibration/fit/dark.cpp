#include "calibration/fit/dark.h"

#include <algorithm>
#include <cmath>

#include "base/errors.h"

namespace isoseam {
namespace {

// The variance of independent noise of size 1 in a second difference: 1 + 4 + 1.
constexpr double kSecondDifferenceVariance = 6.0;

Eigen::VectorXd smoothed(const Eigen::VectorXd& variance) {
    Eigen::VectorXd result(variance.size());
    for (Eigen::Index i = 0; i < variance.size(); ++i) {
        const Eigen::Index first = std::max<Eigen::Index>(0, i - kNoiseWindow / 2);
        const Eigen::Index last = std::min(variance.size() - 1, i + kNoiseWindow / 2);
        result[i] = variance.segment(first, last - first + 1).mean();
    }
    return result;
}

}  // namespace

Dark dark_of(const Eigen::MatrixXd& readings) {
    ISOSEAM_CHECK(readings.rows() >= 1 && readings.cols() >= 3);
    Dark dark;
    dark.readings = static_cast<int>(readings.rows());
    dark.mean = readings.colwise().mean();
    dark.drift = (readings.rowwise().mean().array() - dark.mean.mean()).abs().maxCoeff();
    dark.noise_from_repeats = readings.rows() >= 2;
    if (dark.noise_from_repeats) {
        const Eigen::MatrixXd around = readings.rowwise() - dark.mean.transpose();
        const Eigen::VectorXd variance =
            around.colwise().squaredNorm() / static_cast<double>(readings.rows() - 1);
        dark.noise = smoothed(variance).cwiseSqrt();
        return dark;
    }
    const Eigen::Index inner = dark.mean.size() - 2;
    const Eigen::ArrayXd ragged = dark.mean.head(inner).array() - 2.0 * dark.mean.segment(1, inner).array() +
                                  dark.mean.tail(inner).array();
    const double variance = ragged.square().mean() / kSecondDifferenceVariance;
    dark.noise = Eigen::VectorXd::Constant(dark.mean.size(), std::sqrt(variance));
    return dark;
}

}  // namespace isoseam
