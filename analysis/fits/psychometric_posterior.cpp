#include "analysis/fits/psychometric_posterior.h"

#include <algorithm>
#include <cmath>
#include <limits>
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

struct Grids {
    std::vector<double> thresholds, slopes, guesses, lapses;
};

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
    Grids made;
    made.thresholds = weibull ? grid(0.5 * least_positive, 2.0 * most, kThresholds, true)
                              : grid(least - 0.5 * span, most + 0.5 * span, kThresholds, false);
    made.slopes = weibull ? grid(kLeastSlope, kMostWeibullSlope, kSlopes, true)
                          : grid(kLeastSlope / span, kMostSlopeOverSpan / span, kSlopes, true);
    made.guesses = rates(model.guess, kMostFreeGuess);
    made.lapses = rates(model.lapse, kMostFreeLapse);
    return made;
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
    double total = 0.0;
    for (const double weight : weights)
        total += weight;
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
    double total = 0.0;
    for (const double weight : weights)
        total += weight;
    return std::max(weights.front(), weights.back()) > kMostAtABorder * total;
}

}  // namespace

std::optional<FitPosterior> posterior(const FitModel& model, std::span<const LevelCount> counts) {
    if (const std::vector<Fault> found = faults(model, counts); !found.empty())
        throw InputError(found);
    const std::optional<Grids> over = grids(model, counts);
    if (!over)
        return std::nullopt;
    const auto each = [&](const auto& use) {
        std::size_t index = 0;
        for (std::size_t t = 0; t < over->thresholds.size(); ++t)
            for (std::size_t s = 0; s < over->slopes.size(); ++s)
                for (std::size_t g = 0; g < over->guesses.size(); ++g)
                    for (std::size_t l = 0; l < over->lapses.size(); ++l)
                        use(index++, t, s, g, l);
    };
    std::vector<double> logs(over->thresholds.size() * over->slopes.size() * over->guesses.size() *
                             over->lapses.size());
    each([&](std::size_t index, std::size_t t, std::size_t s, std::size_t g, std::size_t l) {
        const PsychometricFunction curve{model.form, over->thresholds[t], over->slopes[s], over->guesses[g],
                                         over->lapses[l]};
        logs[index] = log_likelihood(curve, counts);
    });
    const double largest = *std::max_element(logs.begin(), logs.end());
    if (!std::isfinite(largest))
        return std::nullopt;
    std::vector<double> thresholds(over->thresholds.size(), 0.0);
    std::vector<double> slopes(over->slopes.size(), 0.0);
    std::vector<double> guesses(over->guesses.size(), 0.0);
    std::vector<double> lapses(over->lapses.size(), 0.0);
    each([&](std::size_t index, std::size_t t, std::size_t s, std::size_t g, std::size_t l) {
        const double weight = std::exp(logs[index] - largest);
        thresholds[t] += weight;
        slopes[s] += weight;
        guesses[g] += weight;
        lapses[l] += weight;
    });
    FitPosterior found;
    found.threshold = value_of(over->thresholds, thresholds);
    found.slope = value_of(over->slopes, slopes);
    if (!model.guess)
        found.guess = value_of(over->guesses, guesses);
    if (!model.lapse)
        found.lapse = value_of(over->lapses, lapses);
    found.at_a_border = ends_at_a_border(thresholds) || ends_at_a_border(slopes);
    return found;
}

}  // namespace isoseam
