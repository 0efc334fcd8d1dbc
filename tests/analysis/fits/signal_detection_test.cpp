#include "analysis/fits/signal_detection.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>

#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <stdexcept>

#include "support/seeded_sets.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

constexpr double kTwoLibraries = 1e-7;  // Two libraries, and searches that end within 1e-7.

double z(double share) {
    return gsl_cdf_ugaussian_Pinv(share);
}

bool holds(const FitInterval& interval, double value) {
    return (!interval.low || *interval.low <= value) && (!interval.high || value <= *interval.high);
}

struct Truth {
    DetectionModel model;
    double d_prime;
    double criterion;
    double hits;          // rates, by the rule
    double false_alarms;  //
};

Truth yes_no(double d, double c) {
    return {DetectionModel::yes_no, d, c, gsl_cdf_ugaussian_P(0.5 * d - c),
            gsl_cdf_ugaussian_P(-0.5 * d - c)};
}
Truth two_alternative(double d, double c) {
    const double half = d / std::sqrt(2.0);
    return {DetectionModel::two_alternative, d, c, gsl_cdf_ugaussian_P(half - c),
            gsl_cdf_ugaussian_P(-half - c)};
}
Truth differencing(double d, double k) {
    const double root = std::sqrt(2.0);
    return {DetectionModel::same_different_differencing, d, k,
            gsl_cdf_ugaussian_P((d - k) / root) + gsl_cdf_ugaussian_P((-d - k) / root),
            2.0 * gsl_cdf_ugaussian_P(-k / root)};
}
// Without bias: each observation is classed right with probability phi(d'/2).
Truth independent(double d) {
    const double right = gsl_cdf_ugaussian_P(0.5 * d);
    const double both = right * right + (1.0 - right) * (1.0 - right);
    return {DetectionModel::same_different_independent, d, 0.0, both, 1.0 - both};
}

// The probability with which the intervals of d' and of the criterion hold the truth: the sum over all counts
// that can come, so that nothing is left to a draw.
std::array<double, 2> coverage(const Truth& truth, int trials) {
    std::array<double, 2> held{};
    for (int hits = 0; hits <= trials; ++hits) {
        for (int false_alarms = 0; false_alarms <= trials; ++false_alarms) {
            const auto count = [](int value) { return static_cast<unsigned>(value); };
            const double probability =
                gsl_ran_binomial_pdf(count(hits), truth.hits, count(trials)) *
                gsl_ran_binomial_pdf(count(false_alarms), truth.false_alarms, count(trials));
            if (probability < 3e-6)  // All of these together are less than 0.3 %, and count as missed.
                continue;
            const auto fit = fit_detection(truth.model, {hits, trials, false_alarms, trials});
            held[0] += holds(fit->d_prime_95, truth.d_prime) ? probability : 0.0;
            held[1] += holds(fit->criterion_95, truth.criterion) ? probability : 0.0;
        }
    }
    return held;
}

}  // namespace

// Macmillan & Creelman 2005, chapter 1: 20 of 25 old faces and 10 of 25 new ones are called old.
TEST_CASE("d' and criterion of a worked example: 1.095 and -0.294") {
    const auto fit = fit_detection(DetectionModel::yes_no, {20, 25, 10, 25});
    REQUIRE(fit);
    CHECK(fit->d_prime == Approx(1.095).margin(0.0005));
    CHECK(fit->criterion == Approx(-0.294).margin(0.0006));  // The book rounds the two quantiles first.
    CHECK(fit->d_prime == Approx(z(0.8) - z(0.4)).epsilon(kTwoLibraries));
    CHECK(fit->notes.empty());
    // The variance by Gourevitch & Galanter 1967; the profile likelihood is nearly symmetrical here.
    const auto part = [](double rate) {
        return rate * (1.0 - rate) / (25.0 * std::pow(gsl_ran_ugaussian_pdf(z(rate)), 2.0));
    };
    const double half = 1.96 * std::sqrt(part(0.8) + part(0.4));
    CHECK(*fit->d_prime_95.low == Approx(fit->d_prime - half).margin(0.05));
    CHECK(*fit->d_prime_95.high == Approx(fit->d_prime + half).margin(0.05));
}

TEST_CASE("a choice between two places: d' is smaller by the root of 2, and the criterion is the bias") {
    const auto fit = fit_detection(DetectionModel::two_alternative, {90, 100, 40, 100});
    CHECK(fit->d_prime == Approx((z(0.9) - z(0.4)) / std::sqrt(2.0)).epsilon(kTwoLibraries));
    CHECK(fit->criterion == Approx(-0.5 * (z(0.9) + z(0.4))).epsilon(kTwoLibraries));
    CHECK(*fit->criterion_95.high < 0.0);  // "first" is said in 65 % of trials
    CHECK(holds(fit_detection(DetectionModel::two_alternative, {75, 100, 25, 100})->criterion_95, 0.0));
}

// A large simulated study for each rule of same or different: normal observations, and the rule as it stands.
TEST_CASE("same or different: the simulated rule gives its own d' back") {
    constexpr int kTrials = 400000;
    Draws draws(31);
    const double d = 2.0;
    const double k = 1.7;
    DetectionCounts by_difference{0, kTrials, 0, kTrials};
    DetectionCounts by_class{0, kTrials, 0, kTrials};
    for (int i = 0; i < kTrials; ++i) {
        const double first = draws.normal();
        const double second = draws.normal();
        const double target = draws.normal() + d;
        by_difference.hits += std::abs(target - first) > k ? 1 : 0;
        by_difference.false_alarms += std::abs(second - first) > k ? 1 : 0;
        by_class.hits += (target > 0.5 * d) != (first > 0.5 * d) ? 1 : 0;
        by_class.false_alarms += (second > 0.5 * d) != (first > 0.5 * d) ? 1 : 0;
    }
    const auto difference = fit_detection(DetectionModel::same_different_differencing, by_difference);
    const auto classes = fit_detection(DetectionModel::same_different_independent, by_class);
    constexpr double kFiveDeviations = 0.02;
    CHECK(difference->d_prime == Approx(d).margin(kFiveDeviations));
    CHECK(difference->criterion == Approx(k).margin(kFiveDeviations));
    CHECK(classes->d_prime == Approx(d).margin(kFiveDeviations));
    CHECK(classes->criterion == Approx(0.0).margin(kFiveDeviations));
    CHECK(holds(difference->d_prime_95, d));
    CHECK(holds(classes->d_prime_95, d));
}

TEST_CASE("the 95 % intervals hold 93 to 97 % over all counts that 50 trials of each kind can give") {
    const int trials = 50;
    for (const Truth& truth :
         {yes_no(1.0, 0.3), yes_no(0.0, 0.0), yes_no(2.0, -0.4), two_alternative(1.0, 0.2),
          differencing(2.0, 1.7), differencing(3.0, 2.5), independent(2.0)}) {
        INFO(static_cast<int>(truth.model) << ": d' " << truth.d_prime << ", " << truth.criterion);
        const auto held = coverage(truth, trials);
        CHECK(held[0] >= 0.93);
        CHECK(held[0] <= 0.97);
        CHECK(held[1] >= 0.93);
        CHECK(held[1] <= 0.97);
    }
}

TEST_CASE("rates of 0 and 1: the log-linear rule gives the estimate, the interval stays open, words say so") {
    const auto fit = fit_detection(DetectionModel::yes_no, {20, 20, 3, 20});
    CHECK(fit->d_prime == Approx(z(20.5 / 21.0) - z(3.5 / 21.0)).epsilon(kTwoLibraries));
    REQUIRE(fit->notes.size() == 1);
    CHECK_THAT(fit->notes[0], Catch::Contains("log-linear") && Catch::Contains("Hautus 1995"));
    CHECK(fit->d_prime_95.low);
    CHECK_FALSE(fit->d_prime_95.high);
    const auto perfect = fit_detection(DetectionModel::yes_no, {20, 20, 0, 20});
    CHECK(perfect->criterion == Approx(0.0).margin(kTwoLibraries));
    CHECK_FALSE(perfect->criterion_95.low);
    CHECK_FALSE(perfect->criterion_95.high);
    const auto silent = fit_detection(DetectionModel::same_different_differencing, {0, 20, 0, 20});
    CHECK(silent->d_prime == 0.0);
    CHECK(*silent->d_prime_95.low == 0.0);
    CHECK_FALSE(silent->criterion_95.high);
}

TEST_CASE("answers the wrong way round are said, and the rules of same or different stay at 0") {
    const DetectionCounts wrong{5, 40, 30, 40};
    const auto yes_or_no = fit_detection(DetectionModel::yes_no, wrong);
    CHECK(yes_or_no->d_prime < 0.0);
    CHECK_THAT(yes_or_no->notes.back(), Catch::Contains("more false alarms than hits"));
    for (const auto model :
         {DetectionModel::same_different_differencing, DetectionModel::same_different_independent}) {
        const auto fit = fit_detection(model, wrong);
        CHECK(fit->d_prime == 0.0);
        CHECK(*fit->d_prime_95.low == 0.0);
        CHECK_THAT(fit->notes.back(), Catch::Contains("more false alarms than hits"));
    }
}

TEST_CASE("there is no fit without trials of both kinds, and counts that cannot be are refused") {
    CHECK_FALSE(fit_detection(DetectionModel::yes_no, {0, 0, 1, 20}));
    CHECK_FALSE(fit_detection(DetectionModel::yes_no, {5, 20, 0, 0}));
    CHECK_THROWS_AS(fit_detection(DetectionModel::yes_no, {21, 20, 0, 20}), std::logic_error);
    CHECK_THROWS_AS(fit_detection(DetectionModel::yes_no, {1, 20, -1, 20}), std::logic_error);
}
