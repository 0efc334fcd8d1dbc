#include "analysis/fits/rating_roc.h"

#include <fmt/format.h>

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

#include "analysis/statistics/distributions.h"
#include "base/errors.h"

namespace isoseam {
namespace {

int sum_of(const std::vector<int>& counts) {
    return std::accumulate(counts.begin(), counts.end(), 0);
}

void check(const RatingCounts& counts) {
    ISOSEAM_CHECK_EQ(counts.signal.size(), counts.noise.size());
    ISOSEAM_CHECK_LE(2U, counts.signal.size());
    for (const auto* kind : {&counts.signal, &counts.noise}) {
        for (const int count : *kind)
            ISOSEAM_CHECK_LE(0, count);
        ISOSEAM_CHECK_LE(1, sum_of(*kind));
    }
}

double normal_density(double z) {
    return std::exp(-0.5 * z * z) / std::sqrt(2.0 * std::numbers::pi);
}

// For each category: the share of the other kind in lower categories, and half of the share in the same one.
std::vector<double> placements(const std::vector<int>& others) {
    const double all = sum_of(others);
    std::vector<double> shares;
    int below = 0;
    for (const int count : others) {
        shares.push_back((below + 0.5 * count) / all);
        below += count;
    }
    return shares;
}

// The variance of the mean of these values, each with its count; two or more in all.
double variance_of_mean(const std::vector<double>& values, const std::vector<int>& counts) {
    const double n = sum_of(counts);
    double mean = 0.0;
    for (std::size_t i = 0; i < values.size(); ++i)
        mean += counts[i] * values[i] / n;
    double squares = 0.0;
    for (std::size_t i = 0; i < values.size(); ++i)
        squares += counts[i] * (values[i] - mean) * (values[i] - mean);
    return squares / (n - 1.0) / n;
}

// ---- The binormal model. Its parameters are a, b and then the criteria in rising order. ----

struct BinormalModel {
    RatingCounts counts;  // Without categories that nobody used.

    std::size_t criteria() const { return counts.signal.size() - 1; }

    bool is_sound(const Eigen::VectorXd& parameters) const {
        // A slope beyond these is that of a curve with corners, which no longer changes with it.
        constexpr double kLeastSlopeOfCurve = 0.02;
        constexpr double kMostSlopeOfCurve = 50.0;
        for (Eigen::Index i = 3; i < parameters.size(); ++i) {
            if (!(parameters[i] > parameters[i - 1]))
                return false;
        }
        return parameters.allFinite() && parameters[1] > kLeastSlopeOfCurve &&
               parameters[1] < kMostSlopeOfCurve;
    }

    // The log-likelihood, its slope and its expected information, and what one kind of trial adds to them.
    struct Sum {
        double log_likelihood = 0.0;
        Eigen::VectorXd slope;
        Eigen::MatrixXd information;
    };
    void add(const std::vector<int>& kind, const Eigen::VectorXd& parameters, bool signal, Sum& sum) const {
        const double n = sum_of(kind);
        double below = 0.0;
        Eigen::VectorXd slope_below = Eigen::VectorXd::Zero(parameters.size());
        for (std::size_t i = 0; i < kind.size(); ++i) {
            double upto = 1.0;
            Eigen::VectorXd slope_upto = Eigen::VectorXd::Zero(parameters.size());
            if (i < criteria()) {
                const auto place = static_cast<Eigen::Index>(i) + 2;
                const double criterion = parameters[place];
                const double z = signal ? parameters[1] * criterion - parameters[0] : criterion;
                upto = normal_share(z);
                slope_upto[place] = signal ? parameters[1] : 1.0;
                if (signal) {
                    slope_upto[0] = -1.0;
                    slope_upto[1] = criterion;
                }
                slope_upto *= normal_density(z);
            }
            const double share = upto - below;
            const Eigen::VectorXd slope = slope_upto - slope_below;
            if (kind[i] > 0)
                sum.log_likelihood += kind[i] * std::log(share);
            sum.slope += kind[i] / share * slope;
            sum.information += n / share * slope * slope.transpose();
            below = upto;
            slope_below = slope_upto;
        }
    }
    Sum at(const Eigen::VectorXd& parameters) const {
        Sum sum{0.0, Eigen::VectorXd::Zero(parameters.size()),
                Eigen::MatrixXd::Zero(parameters.size(), parameters.size())};
        add(counts.noise, parameters, false, sum);
        add(counts.signal, parameters, true, sum);
        return sum;
    }

    // The criteria that the noise gives, and the straight line through the normal deviates of the points.
    Eigen::VectorXd start() const {
        const auto n = static_cast<Eigen::Index>(criteria());
        Eigen::VectorXd parameters(n + 2);
        Eigen::VectorXd signal(n);
        const auto deviate = [](int below, int all) { return normal_quantile((below + 0.5) / (all + 1.0)); };
        int noise_below = 0;
        int signal_below = 0;
        for (Eigen::Index i = 0; i < n; ++i) {
            noise_below += counts.noise[static_cast<std::size_t>(i)];
            signal_below += counts.signal[static_cast<std::size_t>(i)];
            parameters[i + 2] = deviate(noise_below, sum_of(counts.noise));
            signal[i] = deviate(signal_below, sum_of(counts.signal));
            constexpr double kLeastDistance = 0.05;  // Between criteria that no noise lies between.
            if (i > 0)
                parameters[i + 2] = std::max(parameters[i + 2], parameters[i + 1] + kLeastDistance);
        }
        const Eigen::ArrayXd x = parameters.tail(n).array() - parameters.tail(n).mean();
        parameters[1] = std::clamp((x * signal.array()).sum() / x.square().sum(), 0.2, 5.0);
        parameters[0] = parameters[1] * parameters.tail(n).mean() - signal.mean();
        return parameters;
    }
};

// Categories that nobody used tell nothing: a criterion anywhere between their neighbours is as likely.
RatingCounts used_categories(const RatingCounts& counts) {
    RatingCounts used;
    for (std::size_t i = 0; i < counts.signal.size(); ++i) {
        if (counts.signal[i] + counts.noise[i] == 0)
            continue;
        used.signal.push_back(counts.signal[i]);
        used.noise.push_back(counts.noise[i]);
    }
    return used;
}

BinormalFit described(const Eigen::VectorXd& parameters, const Eigen::MatrixXd& covariance) {
    const double a = parameters[0];
    const double b = parameters[1];
    const double root = std::sqrt(2.0 / (1.0 + b * b));
    const Eigen::Vector2d slope{root, -a * b * root / (1.0 + b * b)};
    BinormalFit fit;
    fit.a = a;
    fit.b = b;
    fit.d_a = a * root;
    fit.d_a_standard_error = std::sqrt(slope.dot(covariance.topLeftCorner<2, 2>() * slope));
    const double half = normal_quantile(0.975) * fit.d_a_standard_error;
    fit.d_a_95 = {fit.d_a - half, fit.d_a + half};
    fit.area = normal_share(fit.d_a / std::numbers::sqrt2);
    return fit;
}

}  // namespace

std::vector<RocPoint> roc_points(const RatingCounts& counts) {
    check(counts);
    const int signals = sum_of(counts.signal);
    const int noises = sum_of(counts.noise);
    std::vector<RocPoint> points{{0.0, 0.0}};
    int hits = 0;
    int false_alarms = 0;
    for (std::size_t i = counts.signal.size(); i-- > 0;) {
        hits += counts.signal[i];
        false_alarms += counts.noise[i];
        points.push_back({static_cast<double>(false_alarms) / noises, static_cast<double>(hits) / signals});
    }
    return points;
}

RocArea roc_area(const RatingCounts& counts) {
    check(counts);
    const std::vector<double> of_signal = placements(counts.noise);
    RocArea area;
    area.area = 0.0;
    for (std::size_t i = 0; i < of_signal.size(); ++i)
        area.area += counts.signal[i] * of_signal[i] / sum_of(counts.signal);
    if (sum_of(counts.signal) < 2 || sum_of(counts.noise) < 2)
        return area;
    const double error = std::sqrt(variance_of_mean(of_signal, counts.signal) +
                                   variance_of_mean(placements(counts.signal), counts.noise));
    area.standard_error = error;
    if (!(error > 0.0) || !(area.area > 0.0 && area.area < 1.0))
        return area;
    const double logit = std::log(area.area / (1.0 - area.area));
    const double half = normal_quantile(0.975) * error / (area.area * (1.0 - area.area));
    const auto share = [](double x) { return 1.0 / (1.0 + std::exp(-x)); };
    area.interval_95 = Interval{share(logit - half), share(logit + half)};
    return area;
}

std::optional<BinormalFit> fit_binormal(const RatingCounts& counts) {
    check(counts);
    const BinormalModel model{used_categories(counts)};
    if (model.counts.signal.size() < 3)
        return std::nullopt;
    Eigen::VectorXd parameters = model.start();
    constexpr int kMostSteps = 500;
    constexpr double kSmallestGain = 1e-10;
    for (int step = 0; step < kMostSteps; ++step) {
        const BinormalModel::Sum now = model.at(parameters);
        const Eigen::LDLT<Eigen::MatrixXd> information(now.information);
        if (information.info() != Eigen::Success || !(information.rcond() > 1e-10))
            return std::nullopt;
        Eigen::VectorXd change = information.solve(now.slope);
        // Half of the square of the step in standard errors: by so much the likelihood could still grow.
        if (now.slope.dot(change) < kSmallestGain) {
            const auto n = parameters.size();
            return described(parameters, information.solve(Eigen::MatrixXd::Identity(n, n)));
        }
        constexpr double kShortest = 1e-9;
        const auto better = [&] {
            const Eigen::VectorXd there = parameters + change;
            return model.is_sound(there) && model.at(there).log_likelihood > now.log_likelihood;
        };
        while (!better()) {
            change *= 0.5;
            if (change.norm() < kShortest)
                return std::nullopt;
        }
        parameters += change;
    }
    return std::nullopt;
}

}  // namespace isoseam
