#include "analysis/statistics/serial_correlation.h"

#include <Eigen/Dense>
#include <catch2/catch.hpp>
#include <cmath>

#include "support/seeded_sets.h"
#include "support/tolerances.h"

using namespace isoseam;

namespace {

using Sessions = std::vector<std::vector<double>>;

// Each setting keeps this share of what the one before was off by. Every session has a level and a drift.
Sessions drawn(test::Draws& draws, const std::vector<int>& lengths, double kept) {
    Sessions sessions;
    for (const int length : lengths) {
        const double level = 100.0 + 10.0 * draws.normal();
        const double drift = draws.normal();
        double off = draws.normal();
        sessions.emplace_back();
        for (int i = 0; i < length; ++i) {
            sessions.back().push_back(level + drift * i + off);
            off = kept * off + std::sqrt(1.0 - kept * kept) * draws.normal();
        }
    }
    return sessions;
}

struct Found {
    int below = 0;  // sets with p below 0.05
    double mean = 0.0;
    double expected = 0.0;
};

Found found_in_sets(std::uint64_t seed, const std::vector<int>& lengths, double kept) {
    test::Draws draws(seed);
    Found found;
    for (int set = 0; set < test::kSets; ++set) {
        const std::optional<SerialCorrelation> result = serial_correlation(drawn(draws, lengths, kept));
        REQUIRE(result);
        found.below += result->p < 0.05 ? 1 : 0;
        found.mean += result->lag_one / test::kSets;
        found.expected = result->expected;
    }
    return found;
}

const std::vector<std::vector<int>> kDesigns{{6},    {5, 5, 5}, {20}, {4, 12, 7}, {10, 10, 10, 10, 10, 10},
                                             {60, 3}};

}  // namespace

TEST_CASE("independent settings are said to be correlated in 3 to 7 of 100 sets") {
    for (const std::vector<int>& lengths : kDesigns) {
        const Found found = found_in_sets(101, lengths, 0.0);
        INFO(lengths.size() << " sessions, the first one of " << lengths.front() << ": " << found.below);
        CHECK(test::covers(test::kSets - found.below));
        // The mean of 1,000; an r has an SD of 0.5 at most.
        CHECK(std::abs(found.mean - found.expected) < 4.0 * 0.5 / std::sqrt(1000.0));
    }
}

TEST_CASE("settings that follow the one before are found, and so are those that avoid it") {
    CHECK(found_in_sets(102, {20, 20, 20}, 0.5).below > 800);
    CHECK(found_in_sets(103, {20, 20, 20}, -0.5).below > 800);
    CHECK(found_in_sets(104, {10, 10}, 0.4).below > 150);
}

TEST_CASE("r, its mean and its variance are those of the quadratic forms") {
    // The matrices of Durbin & Watson 1950 (Biometrika 37, 409), written out whole: r = y'MLMy / y'My.
    const std::vector<double> settings{3.0, 2.5, 4.0, 3.9, 3.1, 5.0, 4.4};
    const auto n = static_cast<Eigen::Index>(settings.size());
    Eigen::MatrixXd x(n, 2);
    Eigen::VectorXd y(n);
    Eigen::MatrixXd lag = Eigen::MatrixXd::Zero(n, n);
    for (Eigen::Index i = 0; i < n; ++i) {
        x.row(i) << 1.0, static_cast<double>(i);
        y[i] = settings[static_cast<std::size_t>(i)];
        if (i > 0)
            lag(i, i - 1) = lag(i - 1, i) = 0.5;
    }
    const Eigen::MatrixXd left =
        Eigen::MatrixXd::Identity(n, n) - x * (x.transpose() * x).inverse() * x.transpose();
    const Eigen::MatrixXd form = left * lag * left;
    const std::optional<SerialCorrelation> result = serial_correlation(Sessions{settings});
    REQUIRE(result);
    CHECK(result->lag_one == Approx(y.dot(form * y) / y.dot(left * y)).epsilon(test::kRoundingOfDoubles));
    CHECK(result->expected == Approx(form.trace() / 5.0).epsilon(test::kRoundingOfDoubles));
    // Five independent directions: E r^2 = (2 tr A^2 + (tr A)^2) / (5 * 7). The p of a beta distribution with
    // these moments, by its density in steps.
    const double mean = 0.5 * (1.0 + form.trace() / 5.0);
    const double variance = 0.25 * ((2.0 * (form * form).trace() + form.trace() * form.trace()) / 35.0 -
                                    std::pow(form.trace() / 5.0, 2));
    const double sum = mean * (1.0 - mean) / variance - 1.0;
    constexpr int kSteps = 200000;
    double below = 0.0;
    double whole = 0.0;
    for (int i = 0; i < kSteps; ++i) {
        const double at = (i + 0.5) / kSteps;
        const double density = std::pow(at, mean * sum - 1.0) * std::pow(1.0 - at, (1.0 - mean) * sum - 1.0);
        whole += density;
        below += at < 0.5 * (1.0 + result->lag_one) ? density : 0.0;
    }
    CHECK(result->p == Approx(2.0 * std::min(below, whole - below) / whole).epsilon(1e-4));
}

TEST_CASE("short sessions do not count, and straight lines have no correlation") {
    CHECK_FALSE(serial_correlation(Sessions{}).has_value());
    CHECK_FALSE(serial_correlation(Sessions{{1.0, 2.0, 4.0}, {1.0}}).has_value());
    CHECK_FALSE(serial_correlation(Sessions{{1.0, 1.1, 1.2, 1.3, 1.4}}).has_value());
    const std::optional<SerialCorrelation> result =
        serial_correlation(Sessions{{1.0, 2.0, 4.0}, {1.0, 2.0, 1.5, 1.2}});
    REQUIRE(result);
    CHECK(result->sessions == 1);
    CHECK(result->settings == 4);
}
