#include "analysis/fits/flicker_fit.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "support/seeded_sets.h"
#include "support/tolerances.h"

using namespace isoseam;
using Eigen::Vector2d;

namespace {

double luminance(const Vector2d& lm, double share) {
    return share * lm[0] + (1.0 - share) * lm[1];
}

struct Lights {
    Vector2d reference;
    Vector2d test;
};
const std::vector<Lights> kLights{
    {{1.0, 0.8}, {1.0, 0.55}}, {{1.0, 0.8}, {1.0, 1.0}}, {{0.9, 0.8}, {1.0, 0.4}}};

// The test light at the null of an eye with this share, times a normal error of its logarithm.
std::vector<FlickerNull> nulls_of(test::Draws& draws, double share, double noise, int repeats,
                                  const std::vector<Lights>& lights = kLights) {
    std::vector<FlickerNull> nulls;
    for (int i = 0; i < repeats; ++i) {
        for (std::size_t condition = 0; condition < lights.size(); ++condition) {
            const Lights& pair = lights[condition];
            const double null = luminance(pair.reference, share) / luminance(pair.test, share);
            nulls.push_back({static_cast<int>(condition), null * std::exp(noise * draws.normal()) * pair.test,
                             pair.reference});
        }
    }
    return nulls;
}

}  // namespace

TEST_CASE("settings without scatter give the very share back") {
    test::Draws draws(81);
    for (const double share : {0.05, 0.5, 0.6645, 0.95}) {
        const std::optional<FlickerFit> fit = fit_flicker(nulls_of(draws, share, 0.0, 2));
        REQUIRE(fit);
        CHECK(fit->share == Approx(share).margin(1e-6));
        CHECK(fit->noise < 1e-6);
        for (const FlickerConditionFit& condition : fit->conditions)
            CHECK(condition.residual == Approx(0.0).margin(1e-6));
    }
}

TEST_CASE("the share is found, and its interval holds it in 93 to 97 of 100 sets") {
    test::Draws draws(82);
    for (const double share : {0.4, 0.66, 0.8}) {
        int held = 0;
        int disagreed = 0;
        double sum = 0.0;
        double noise_squares = 0.0;
        for (int set = 0; set < test::kSets; ++set) {
            const std::optional<FlickerFit> fit = fit_flicker(nulls_of(draws, share, 0.02, 4));
            held += fit->share_95.holds(share) ? 1 : 0;
            disagreed += *fit->agreement_p < 0.05 ? 1 : 0;
            sum += fit->share;
            noise_squares += fit->noise * fit->noise;
        }
        INFO(share << ": " << held << ", disagreed " << disagreed);
        CHECK(test::covers(held));
        CHECK(test::covers(test::kSets - disagreed));
        CHECK(sum / test::kSets == Approx(share).margin(0.005));
        CHECK(std::sqrt(noise_squares / test::kSets) == Approx(0.02).epsilon(0.02));
    }
}

TEST_CASE("no share nearby has a smaller sum of squares, and the interval's ends lie on its limit") {
    test::Draws draws(83);
    const std::vector<FlickerNull> nulls = nulls_of(draws, 0.6, 0.03, 5);
    const FlickerFit fit = *fit_flicker(nulls);
    const auto q = [&nulls](double share) {
        double sum = 0.0;
        for (const FlickerNull& null : nulls)
            sum += std::pow(std::log(luminance(null.adjusted, share) / luminance(null.reference, share)), 2);
        return sum;
    };
    for (double share = 0.0; share <= 1.0; share += 0.001)
        REQUIRE(q(share) >= q(fit.share));
    // F(1, 14) at 95 %: 4.600 (any table).
    const double limit = q(fit.share) * (1.0 + 4.600 / 14.0);
    CHECK(q(fit.share_95.low) == Approx(limit).epsilon(1e-4));
    CHECK(q(fit.share_95.high) == Approx(limit).epsilon(1e-4));
    CHECK(fit.settings == 15);
    CHECK(fit.conditions.size() == 3);
    CHECK(fit.conditions[1].settings == 5);
    CHECK(fit.noise == Approx(std::sqrt(q(fit.share) / 14.0)).epsilon(test::kFiveDigits));
}

TEST_CASE("ends that settings cannot exclude are open") {
    test::Draws draws(84);
    const FlickerFit near_one = *fit_flicker(nulls_of(draws, 0.97, 0.05, 3));
    CHECK(near_one.open_high);
    CHECK(near_one.share_95.high == 1.0);
    CHECK_FALSE(near_one.open_low);
    const FlickerFit nothing = *fit_flicker(nulls_of(draws, 0.5, 2.0, 2));
    CHECK(nothing.open_low);
    CHECK(nothing.open_high);
    CHECK(std::isinf(ratio_of_share(1.0)));
    CHECK(ratio_of_share(0.75) == Approx(3.0).epsilon(test::kRoundingOfDoubles));
}

TEST_CASE("conditions that ask for different shares are found out") {
    test::Draws draws(85);
    std::vector<FlickerNull> nulls = nulls_of(draws, 0.6, 0.01, 5);
    for (FlickerNull& null : nulls)
        if (null.condition == 2)
            null.adjusted *= 1.1;
    CHECK(*fit_flicker(nulls)->agreement_p < 1e-3);
    CHECK_FALSE(fit_flicker(nulls_of(draws, 0.6, 0.01, 5, {kLights[0]}))->agreement_p.has_value());
}

TEST_CASE("one setting, and lights of one ratio, give no share") {
    test::Draws draws(86);
    CHECK_FALSE(fit_flicker(nulls_of(draws, 0.6, 0.01, 1, {kLights[0]})).has_value());
    CHECK_FALSE(fit_flicker(nulls_of(draws, 0.6, 0.01, 4, {{{1.0, 0.8}, {2.0, 1.605}}})).has_value());
    CHECK_FALSE(tells_share({1.0, 0.8}, {2.0, 1.605}));
    CHECK(tells_share({1.0, 0.8}, {2.0, 1.65}));
    CHECK_THROWS_AS(fit_flicker(std::vector<FlickerNull>{{0, {1.0, 0.0}, {1.0, 1.0}}}), std::logic_error);
}
