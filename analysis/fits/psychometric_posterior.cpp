#include "analysis/fits/psychometric_posterior.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numeric>
#include <vector>

namespace isoseam {
namespace {

constexpr int kThresholds = 161;
constexpr int kSlopes = 81;
constexpr int kRates = 11;
constexpr double kMostAtABorder = 0.025;

// Points of a grid with as much prior weight each; `logarithmic`: evenly spaced in the logarithm.
std::vector<double> grid(double from, double to, int count, bool logarithmic) {
    std::vector<double> points;
    for (int i = 0; i < count; ++i) {
        const double share = (i + 0.5) / count;
        points.push_back(logarithmic ? from * std::pow(to / from, share) : from + share * (to - from));
    }
    return points;
}

std::vector<double> rates(const std::optional<double>& fixed, double most) {
    return fixed ? std::vector<double>{*fixed} : grid(0.0, most, kRates, false);
}

// Of thresholds, slopes, guess rates and lapse rates.
using Grids = std::array<std::vector<double>, 4>;

std::optional<Grids> grids(const FitModel& model, std::span<const LevelCount> counts) {
    double least = std::numeric_limits<double>::infinity();
    double least_positive = least;
    double most = -least;
    for (const LevelCount& count : counts) {
        if (count.trials == 0)
            continue;
        least = std::min(least, count.level);
        most = std::max(most, count.level);
        if (count.level > 0.0)
            least_positive = std::min(least_positive, count.level);
    }
    if (!(least < most) || !(least_positive <= most))
        return std::nullopt;
    const double span = most - least;
    const bool weibull = model.form == PsychometricForm::weibull;
    return Grids{weibull ? grid(0.5 * least_positive, 2.0 * most, kThresholds, true)
                         : grid(least - 0.5 * span, most + 0.5 * span, kThresholds, false),
                 weibull ? grid(kLeastSlope, kMostWeibullSlope, kSlopes, true)
                         : grid(kLeastSlope / span, kMostSlopeOverSpan / span, kSlopes, true),
                 rates(model.guess, kMostFreeGuess), rates(model.lapse, kMostFreeLapse)};
}

// Gives the quantile of weights that add up to 1 over points in their order. Each weight is spread evenly to
// half-way to its neighbours.
double quantile(const std::vector<double>& points, const std::vector<double>& weights, double share) {
    double below = 0.0;
    for (std::size_t i = 0; i < points.size(); ++i) {
        if (below + weights[i] >= share && weights[i] > 0.0) {
            const double left = i == 0 ? points[0] : 0.5 * (points[i - 1] + points[i]);
            const double right = i + 1 == points.size() ? points[i] : 0.5 * (points[i] + points[i + 1]);
            return left + (share - below) / weights[i] * (right - left);
        }
        below += weights[i];
    }
    return points.back();
}

PosteriorValue value_of(const std::vector<double>& points, std::vector<double> weights) {
    const double total = std::accumulate(weights.begin(), weights.end(), 0.0);
    PosteriorValue value;
    for (std::size_t i = 0; i < points.size(); ++i) {
        weights[i] /= total;
        value.mean += weights[i] * points[i];
    }
    double variance = 0.0;
    for (std::size_t i = 0; i < points.size(); ++i)
        variance += weights[i] * (points[i] - value.mean) * (points[i] - value.mean);
    value.sd = std::sqrt(variance);
    value.low = quantile(points, weights, 0.025);
    value.high = quantile(points, weights, 0.975);
    return value;
}

bool ends_at_a_border(const std::vector<double>& weights) {
    const double total = std::accumulate(weights.begin(), weights.end(), 0.0);
    return std::max(weights.front(), weights.back()) > kMostAtABorder * total;
}

}  // namespace

std::optional<FitPosterior> posterior(const FitModel& model, std::span<const LevelCount> counts) {
    if (const std::vector<Fault> found = faults(model, counts); !found.empty())
        throw InputError(found);
    const std::optional<Grids> made = grids(model, counts);
    if (!made)
        return std::nullopt;
    const Grids& over = *made;
    const auto each = [&](const auto& use) {
        std::array<std::size_t, 4> at{};
        std::size_t index = 0;
        for (at[0] = 0; at[0] < over[0].size(); ++at[0])
            for (at[1] = 0; at[1] < over[1].size(); ++at[1])
                for (at[2] = 0; at[2] < over[2].size(); ++at[2])
                    for (at[3] = 0; at[3] < over[3].size(); ++at[3])
                        use(index++, at);
    };
    std::vector<double> logs(over[0].size() * over[1].size() * over[2].size() * over[3].size());
    each([&](std::size_t index, const std::array<std::size_t, 4>& at) {
        const PsychometricFunction curve{model.form, over[0][at[0]], over[1][at[1]], over[2][at[2]],
                                         over[3][at[3]]};
        logs[index] = log_likelihood(curve, counts);
    });
    const double largest = *std::max_element(logs.begin(), logs.end());
    if (!std::isfinite(largest))
        return std::nullopt;
    Grids weights;
    for (std::size_t i = 0; i < over.size(); ++i)
        weights[i].resize(over[i].size());
    each([&](std::size_t index, const std::array<std::size_t, 4>& at) {
        const double weight = std::exp(logs[index] - largest);
        for (std::size_t i = 0; i < over.size(); ++i)
            weights[i][at[i]] += weight;
    });
    FitPosterior found;
    found.threshold = value_of(over[0], weights[0]);
    found.slope = value_of(over[1], weights[1]);
    if (!model.guess)
        found.guess = value_of(over[2], weights[2]);
    if (!model.lapse)
        found.lapse = value_of(over[3], weights[3]);
    found.at_a_border = ends_at_a_border(weights[0]) || ends_at_a_border(weights[1]);
    return found;
}

}  // namespace isoseam
