#include "protocols/procedures/bayesian_adaptive.h"

#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <limits>
#include <numbers>

#include "protocols/procedures/bayesian_tables.h"
#include "support/error_text.h"
#include "support/protocols/simulated_answers.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

std::vector<double> log_grid(double log_low, double log_high, int count) {
    std::vector<double> values;
    for (int i = 0; i < count; ++i)
        values.push_back(std::pow(10.0, log_low + (log_high - log_low) * i / (count - 1)));
    return values;
}

std::vector<Level> on_a_line(const std::vector<double>& values) {
    std::vector<Level> levels;
    for (const double value : values)
        levels.push_back({value});
    return levels;
}

// Choice between two places: a flat prior over one unit of log10 threshold either way, the rest known.
BayesianAdaptiveSpec known_slope(int trials) {
    BayesianAdaptiveSpec spec;
    spec.levels = on_a_line(log_grid(-2.5, 0.5, 61));
    spec.thresholds = {{log_grid(-2.0, 0.0, 201), {}}};
    spec.slope = {{3.5}, {}};
    spec.guess = {{0.5}, {}};
    spec.lapse = {{0.02}, {}};
    spec.trials = trials;
    return spec;
}

BayesianAdaptiveSpec plane(int trials) {
    BayesianAdaptiveSpec spec;
    for (int direction = 0; direction < 8; ++direction)
        for (const double length : log_grid(-2.0, 0.0, 17)) {
            const double angle = std::numbers::pi * direction / 8.0;
            spec.levels.push_back({length * std::cos(angle), length * std::sin(angle)});
        }
    spec.thresholds = {{log_grid(-1.8, -0.2, 17), {}}, {log_grid(-1.8, -0.2, 17), {}}};
    spec.angle_deg = {{0.0, 15.0, 30.0, 45.0, 60.0, 75.0}, {}};
    spec.slope = {{2.5}, {}};
    spec.guess = {{0.5}, {}};
    spec.lapse = {{0.02}, {}};
    spec.trials = trials;
    return spec;
}

BayesianAdaptiveState run_to_the_end(const BayesianAdaptiveSpec& spec, std::uint64_t seed,
                                     const std::function<double(const Level&)>& observer) {
    BayesianAdaptiveState state = start(spec, seed);
    SimulatedAnswers answers{seed};
    while (const auto request = next_trial(spec, state))
        state = respond(spec, std::move(state), answers.succeed(observer(request->level)));
    return state;
}

// What runs of 128 trials come to after 32, 64 and 128 of them, with true thresholds drawn from the prior.
struct Runs {
    std::array<double, 3> sd{};
    std::array<double, 3> bias{};
};
constexpr std::array<int, 3> kLooks{32, 64, 128};

Runs simulate(double half_width, int runs) {
    BayesianAdaptiveSpec spec = known_slope(128);
    spec.levels = on_a_line(log_grid(-1.5 - half_width, -0.5 + half_width, 41));
    spec.thresholds = {{log_grid(-1.0 - half_width, -1.0 + half_width, 121), {}}};
    const BayesianAdaptiveState fresh = start(spec, 1);
    std::array<double, 3> sum{};
    std::array<double, 3> squares{};
    for (int run = 0; run < runs; ++run) {
        const RandomStream truths{7, kStreamTestAnswers};
        const double log_threshold =
            -1.0 + half_width * (2.0 * truths.uniform(static_cast<std::uint64_t>(run)) - 1.0);
        const PsychometricFunction observer{PsychometricForm::weibull, std::pow(10.0, log_threshold), 3.5,
                                            0.5, 0.02};
        SimulatedAnswers answers{static_cast<std::uint64_t>(100'000 + run)};
        BayesianAdaptiveState state = fresh;
        for (std::size_t look = 0; look < 3; ++look) {
            while (state.answered < kLooks[look]) {
                const double p = success_probability(observer, next_trial(spec, state)->level.front());
                state = respond(spec, std::move(state), answers.succeed(p));
            }
            const double error = result(spec, state).thresholds[0].estimate.mean - log_threshold;
            sum[look] += error;
            squares[look] += error * error;
        }
    }
    Runs made;
    for (std::size_t look = 0; look < 3; ++look) {
        made.bias[look] = sum[look] / runs;
        made.sd[look] = std::sqrt(squares[look] / runs - made.bias[look] * made.bias[look]);
    }
    return made;
}

}  // namespace

// Bounds on the threshold's standard deviation with all trials placed best: 0.045, 0.032, 0.023 log10 units
// after 32, 64, 128 trials (computed for this project from the Fisher information). The factors are targets
// of the project. Finding a threshold costs trials that the bound does not know of, the more the wider the
// prior.
TEST_CASE("thresholds are nearly as precise as trials allow, and without bias") {
    constexpr std::array<double, 3> kBounds{0.045, 0.032, 0.023};
    constexpr std::array<double, 3> kFactors{1.25, 1.2, 1.15};
    const Runs runs = simulate(0.3, 800);  // a prior over a fourfold range
    for (std::size_t look = 0; look < 3; ++look) {
        INFO(kLooks[look] << " trials: SD " << runs.sd[look]);
        CHECK(runs.sd[look] <= kFactors[look] * kBounds[look]);
        CHECK(runs.sd[look] >= 0.9 * kBounds[look]);  // less would be a fault of the simulation
        CHECK(std::abs(runs.bias[look]) < 0.01);
    }
    const Runs wide = simulate(1.0, 200);  // over a hundredfold range
    CHECK(wide.sd[2] <= 1.3 * kBounds[2]);
    for (const double bias : wide.bias)
        CHECK(std::abs(bias) < 0.015);  // the standard error after 32 trials is 0.005
}

TEST_CASE("expected information is the fall of entropy that an answer brings, worked by brute force") {
    BayesianAdaptiveSpec spec = known_slope(10);
    spec.thresholds = {{{0.05, 0.1, 0.3}, {1.0, 2.0, 1.0}}};
    spec.levels = {{0.0}, {0.08}, {0.2}, {3.0}};
    const auto entropy_bits = [](const Eigen::VectorXd& weights) {
        double sum = 0.0;
        for (const double w : weights)
            sum -= w * std::log2(w);
        return sum;
    };
    const BayesianAdaptiveState state = start(spec, 1);
    const Eigen::VectorXd prior = Eigen::Vector3d(0.25, 0.5, 0.25);
    const Eigen::VectorXd bits = expected_information_bits(*state.tables, state.log_posterior);
    for (Eigen::Index i = 0; i < 4; ++i) {
        Eigen::VectorXd likelihood(3);
        for (Eigen::Index h = 0; h < 3; ++h)
            likelihood[h] =
                success_probability({PsychometricForm::weibull,
                                     spec.thresholds[0].values[static_cast<std::size_t>(h)], 3.5, 0.5, 0.02},
                                    spec.levels[static_cast<std::size_t>(i)].front());
        const double success = prior.dot(likelihood);
        const Eigen::VectorXd after_success = prior.cwiseProduct(likelihood) / success;
        const Eigen::VectorXd after_failure =
            prior.cwiseProduct(Eigen::VectorXd::Ones(3) - likelihood) / (1.0 - success);
        const double fall = entropy_bits(prior) - success * entropy_bits(after_success) -
                            (1.0 - success) * entropy_bits(after_failure);
        CHECK(bits[i] == Approx(fall).margin(1e-6));
    }
    CHECK(bits[0] == Approx(0.0).margin(1e-6));  // nothing is seen at level 0, whatever the threshold
    const Eigen::Index best = std::max_element(bits.begin(), bits.end()) - bits.begin();
    CHECK(next_trial(spec, state)->level == spec.levels[static_cast<std::size_t>(best)]);
}

TEST_CASE("slope, guess and lapse can be learned too") {
    BayesianAdaptiveSpec spec = known_slope(400);
    spec.levels = on_a_line(log_grid(-2.5, 0.5, 31));
    spec.thresholds = {{log_grid(-1.5, -0.5, 21), {}}};
    spec.slope = {{1.0, 1.4, 2.0, 2.8, 4.0, 5.6}, {}};
    spec.guess = {{0.1, 0.2, 0.3}, {}};
    spec.lapse = {{0.01, 0.04, 0.08}, {}};
    const PsychometricFunction observer{PsychometricForm::weibull, 0.1, 2.0, 0.2, 0.04};
    const BayesianAdaptiveState state = run_to_the_end(
        spec, 11, [&](const Level& level) { return success_probability(observer, level.front()); });
    const BayesianAdaptiveResult found = result(spec, state);
    const auto within_three_sd = [](const BayesianAdaptiveResult::Estimate& estimate, double truth) {
        return std::abs(estimate.mean - truth) < 3.0 * estimate.sd;
    };
    CHECK(within_three_sd(found.thresholds[0].estimate, -1.0));
    CHECK(within_three_sd(found.slope, 2.0));
    CHECK(within_three_sd(found.guess, 0.2));
    CHECK(within_three_sd(found.lapse, 0.04));
    CHECK(found.slope.sd < 0.6);  // of a prior with 1.6
    CHECK(found.guess.sd < 0.06);
}

TEST_CASE("logistic and cumulative normal work on levels of either sign") {
    for (const PsychometricForm form : {PsychometricForm::logistic, PsychometricForm::cumulative_normal}) {
        BayesianAdaptiveSpec spec;
        spec.form = form;
        std::vector<double> values;
        for (int i = -20; i <= 20; ++i)
            values.push_back(0.1 * i);
        std::vector<double> fine;
        for (int i = -200; i <= 200; ++i)
            fine.push_back(0.01 * i);
        spec.levels = on_a_line(values);
        spec.thresholds = {{fine, {}}};
        spec.slope = {{4.0}, {}};
        spec.guess = {{0.0}, {}};
        spec.lapse = {{0.0}, {}};
        spec.trials = 200;
        const PsychometricFunction observer{form, -0.34, 4.0, 0.0, 0.0};
        const BayesianAdaptiveState state = run_to_the_end(
            spec, 5, [&](const Level& level) { return success_probability(observer, level.front()); });
        const auto estimate = result(spec, state).thresholds[0].estimate;
        INFO(to_string(form));
        CHECK(std::abs(estimate.mean + 0.34) < 3.0 * estimate.sd);
        CHECK(estimate.sd < 0.05);
    }
}

TEST_CASE("an ellipse of thresholds is found along every direction") {
    const BayesianAdaptiveSpec spec = plane(300);
    // Half axes 0.08 and 0.3, the first turned by 37 degrees from the first dimension.
    const double angle = 37.0 * std::numbers::pi / 180.0;
    const auto intensity = [&](const Level& x) {
        const double u = (std::cos(angle) * x[0] + std::sin(angle) * x[1]) / 0.08;
        const double v = (-std::sin(angle) * x[0] + std::cos(angle) * x[1]) / 0.3;
        return std::hypot(u, v);
    };
    const BayesianAdaptiveState state = run_to_the_end(spec, 3, [&](const Level& level) {
        return success_probability({PsychometricForm::weibull, 1.0, 2.5, 0.5, 0.02}, intensity(level));
    });
    const BayesianAdaptiveResult found = result(spec, state);
    REQUIRE(found.thresholds.size() == 4);
    for (const BayesianAdaptiveResult::Threshold& along : found.thresholds) {
        const double truth = -std::log10(intensity(along.direction));
        INFO(along.direction[0] << ", " << along.direction[1] << ": " << along.estimate.mean << " against "
                                << truth);
        CHECK(std::hypot(along.direction[0], along.direction[1]) == Approx(1.0).epsilon(1e-14));
        CHECK(std::abs(along.estimate.mean - truth) < 0.1);
        CHECK(along.estimate.sd < 0.1);
    }
}

TEST_CASE("three dimensions have an ellipsoid along them, and seven directions are told") {
    BayesianAdaptiveSpec spec;
    for (std::size_t axis = 0; axis < 3; ++axis)
        for (const double length : log_grid(-2.0, 0.0, 21)) {
            spec.levels.push_back({0.0, 0.0, 0.0});
            spec.levels.back()[axis] = length;
        }
    spec.thresholds.assign(3, {log_grid(-1.6, -0.4, 13), {}});
    spec.slope = {{2.5}, {}};
    spec.guess = {{0.5}, {}};
    spec.lapse = {{0.02}, {}};
    spec.trials = 240;
    const auto intensity = [](const Level& x) {
        return std::sqrt(std::pow(x[0] / 0.05, 2) + std::pow(x[1] / 0.1, 2) + std::pow(x[2] / 0.3, 2));
    };
    const BayesianAdaptiveState state = run_to_the_end(spec, 8, [&](const Level& level) {
        return success_probability({PsychometricForm::weibull, 1.0, 2.5, 0.5, 0.02}, intensity(level));
    });
    const BayesianAdaptiveResult found = result(spec, state);
    REQUIRE(found.thresholds.size() == 7);
    for (const BayesianAdaptiveResult::Threshold& along : found.thresholds)
        CHECK(std::abs(along.estimate.mean + std::log10(intensity(along.direction))) < 0.15);
    for (std::size_t axis = 0; axis < 3; ++axis)
        CHECK(found.principal[axis].mean == Approx(found.thresholds[axis].estimate.mean).epsilon(1e-12));
}

TEST_CASE("a run ends once the threshold is precise enough, else at its count") {
    BayesianAdaptiveSpec spec = known_slope(300);
    const PsychometricFunction truth{PsychometricForm::weibull, 0.1, 3.5, 0.5, 0.02};
    const auto observer = [&](const Level& level) { return success_probability(truth, level.front()); };
    spec.precision = 0.03;
    const BayesianAdaptiveResult precise = result(spec, run_to_the_end(spec, 2, observer));
    CHECK(precise.precise);
    CHECK(precise.trials < 300);
    CHECK(precise.thresholds[0].estimate.sd <= 0.03);
    spec.trials = precise.trials - 1;
    const BayesianAdaptiveResult counted = result(spec, run_to_the_end(spec, 2, observer));
    CHECK_FALSE(counted.precise);
    CHECK(counted.trials == spec.trials);
    CHECK(counted.thresholds[0].estimate.sd > 0.03);
}

TEST_CASE("no run of answers, however absurd, kills the posterior") {
    BayesianAdaptiveSpec spec = known_slope(3000);
    spec.guess = {{0.0}, {}};
    spec.lapse = {{0.0}, {}};
    BayesianAdaptiveState state = start(spec, 1);
    // A thousand trials seen at the lowest levels, then a thousand not seen at the highest.
    for (int i = 0; i < 2000; ++i) {
        state.next_level = i < 1000 ? 0 : 60;
        state = respond(spec, std::move(state), i < 1000);
        REQUIRE(state.log_posterior.allFinite());
        REQUIRE(state.log_posterior.maxCoeff() == 0.0);
        REQUIRE(expected_information_bits(*state.tables, state.log_posterior).allFinite());
    }
    CHECK(normalised(state.log_posterior).sum() == Approx(1.0).epsilon(1e-12));
    CHECK(std::isfinite(result(spec, state).thresholds[0].estimate.mean));
    CHECK(result(spec, state).thresholds[0].estimate.sd > 0.0);
}

TEST_CASE("all faults of a Bayesian procedure are told together") {
    BayesianAdaptiveSpec spec = known_slope(0);
    spec.levels = {{-0.1}, {1.0, 2.0}};
    spec.thresholds = {{{0.2, 0.1}, {1.0}}, {{0.5}, {}}};
    spec.slope.values.clear();
    spec.lapse = {{0.02, 0.6}, {}};
    spec.precision = std::numeric_limits<double>::quiet_NaN();
    CHECK(input_error_text([&] { return start(spec, 1); }) ==
          "levels[0]: -0.1 is below 0; a weibull knows levels from 0 upwards; choose logistic or "
          "cumulative_normal\n"
          "levels[1]: not one to three finite numbers, as many as in the first level; give every level the "
          "same dimensions\n"
          "threshold: 2 lists of thresholds for 1 dimensions; write one for each dimension\n"
          "threshold: the values do not rise; write them from the smallest to the largest, each once\n"
          "threshold.prior: 1 weights for 2 values; write one for each value, or none\n"
          "slope: there is no value; write one or more\n"
          "lapse: guess 0.5 and lapse 0.6 leave nothing to the level; let their sum be below 1\n"
          "trials: 0 trials; write at least 1\n"
          "precision: nan is no standard deviation; write a number above 0");
    spec = plane(10);
    spec.form = PsychometricForm::logistic;
    spec.angle_deg.values.push_back(180.0);
    CHECK(input_error_text([&] { return start(spec, 1); }) ==
          "form: logistic on more than one dimension; choose weibull\n"
          "angle: 180 is not possible; write angles from 0 to below 180 degrees");
}

TEST_CASE("a grid too coarse for the precision asked for is a fault") {
    BayesianAdaptiveSpec spec = known_slope(10);
    spec.precision = 0.01;
    CHECK(faults(spec).empty());
    spec.precision = 0.008;
    CHECK(
        input_error_text([&] { return start(spec, 1); }) ==
        "threshold: values 0.01 apart cannot show a standard deviation of 0.008; write a finer grid, or ask "
        "for less precision");
}

TEST_CASE("a grid that would take too much memory is refused before it is made") {
    BayesianAdaptiveSpec spec = known_slope(10);
    spec.thresholds = {{log_grid(-2.0, 0.0, 100'000), {}}};
    CHECK(input_error_text([&] { return start(spec, 1); }) ==
          "levels: 100000 hypotheses times 61 levels are more than 4e+06; offer fewer levels, or make a grid "
          "coarser");
    spec.slope = {{1.0, 2.0, 3.0}, {}};
    CHECK(input_error_text([&] { return start(spec, 1); }).find("threshold: 300000 hypotheses, more than") ==
          0);
}
