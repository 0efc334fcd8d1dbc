#include "analysis/statistics/variance_components.h"

#include <algorithm>

#include "analysis/statistics/distributions.h"
#include "analysis/statistics/estimate.h"
#include "analysis/statistics/mean_square_intervals.h"
#include "base/errors.h"

namespace isoseam {
namespace {

struct MeanSquares {
    double between = 0.0;  // of observers' means, weighted by their settings
    double within = 0.0;
    double degrees_between = 0.0;
    double degrees_within = 0.0;
    double n0 = 0.0;
    std::vector<double> means;
    double harmonic_n = 0.0;
};

MeanSquares mean_squares(std::span<const std::vector<double>> values) {
    MeanSquares result;
    double count = 0.0;
    double squares_of_n = 0.0;
    double inverse_n = 0.0;
    double within = 0.0;
    for (const std::vector<double>& of_observer : values) {
        const Estimate own = estimate(of_observer);
        const auto n = static_cast<double>(of_observer.size());
        result.means.push_back(own.mean);
        within += own.sd ? *own.sd * *own.sd * (n - 1.0) : 0.0;
        count += n;
        squares_of_n += n * n;
        inverse_n += 1.0 / n;
    }
    const auto k = static_cast<double>(values.size());
    double weighted = 0.0;
    for (std::size_t i = 0; i < values.size(); ++i)
        weighted += static_cast<double>(values[i].size()) / count * (result.means[i] - result.means[0]);
    double between = 0.0;
    for (std::size_t i = 0; i < values.size(); ++i) {
        const double deviation = result.means[i] - result.means[0] - weighted;
        between += static_cast<double>(values[i].size()) * deviation * deviation;
    }
    result.degrees_between = k - 1.0;
    result.degrees_within = count - k;
    result.between = between / result.degrees_between;
    result.within = result.degrees_within > 0.0 ? within / result.degrees_within : 0.0;
    result.n0 = (count - squares_of_n / count) / (k - 1.0);
    result.harmonic_n = k / inverse_n;
    return result;
}

}  // namespace

std::optional<VarianceComponents> variance_components(std::span<const std::vector<double>> values) {
    if (values.size() < 2)
        return std::nullopt;
    const MeanSquares squares = mean_squares(values);
    if (!(squares.within > 0.0))
        return std::nullopt;
    VarianceComponents result;
    result.observers = values.size();
    result.settings = static_cast<std::size_t>(squares.degrees_within) + values.size();
    const Estimate of_means = estimate(squares.means);
    result.mean = of_means.mean;
    result.mean_95 = *of_means.interval_95;
    result.within = squares.within;
    const MeanSquare within{squares.within, squares.degrees_within};
    result.within_95 = expectation_interval_95(within);
    result.between = (squares.between - squares.within) / squares.n0;
    const double unweighted = squares.harmonic_n * *of_means.sd * *of_means.sd;
    result.between_95 =
        difference_interval_95({unweighted, squares.degrees_between}, within, squares.harmonic_n);
    result.between_95 = {std::max(0.0, result.between_95.low), std::max(0.0, result.between_95.high)};
    result.p = f_upper_p(squares.between / squares.within, squares.degrees_between, squares.degrees_within);
    return result;
}

}  // namespace isoseam
