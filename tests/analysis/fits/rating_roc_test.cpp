#include "analysis/fits/rating_roc.h"

#include <gsl/gsl_cdf.h>

#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <stdexcept>

#include "support/seeded_sets.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

constexpr double kRounding = 1e-12;

// Hanley & McNeil 1982, Radiology 143, 29, table I: 51 abnormal and 58 normal tomograms, each rated from
// definitely normal to definitely abnormal.
const RatingCounts kTomograms{{3, 2, 2, 11, 33}, {33, 6, 6, 11, 2}};

constexpr std::array<double, 4> kCriteria{-0.6, 0.2, 0.8, 1.6};

std::array<double, 5> shares(double mean, double sd) {
    std::array<double, 5> result{};
    double below = 0.0;
    for (std::size_t i = 0; i < 5; ++i) {
        const double upto = i < 4 ? gsl_cdf_ugaussian_P((kCriteria[i] - mean) / sd) : 1.0;
        result[i] = upto - below;
        below = upto;
    }
    return result;
}

// The area that endless ratings in these categories would have.
double true_area(double mean, double sd) {
    const auto signal = shares(mean, sd);
    const auto noise = shares(0.0, 1.0);
    double area = 0.0;
    for (std::size_t i = 0; i < 5; ++i) {
        for (std::size_t j = 0; j < 5; ++j)
            area += signal[i] * noise[j] * (i > j ? 1.0 : i == j ? 0.5 : 0.0);
    }
    return area;
}

std::vector<int> rated(Draws& draws, int trials, double mean, double sd) {
    std::vector<int> counts(5, 0);
    for (int i = 0; i < trials; ++i) {
        const double seen = mean + sd * draws.normal();
        std::size_t category = 0;
        while (category < 4 && seen > kCriteria[category])
            ++category;
        ++counts[category];
    }
    return counts;
}

}  // namespace

// The area in the paper is 0.893. The standard error and the limits by DeLong and the figures of the binormal
// fit are those that the manual of Stata 17 prints for this table (roctab, rocfit).
TEST_CASE("a published table of ratings: area, DeLong's standard error, the binormal fit") {
    const RocArea area = roc_area(kTomograms);
    CHECK(area.area == Approx(0.8932).margin(0.5e-4));
    REQUIRE(area.standard_error);
    CHECK(*area.standard_error == Approx(0.0307).margin(0.5e-4));
    CHECK(area.area - 1.959964 * *area.standard_error == Approx(0.83295).margin(0.5e-5));
    CHECK(area.area + 1.959964 * *area.standard_error == Approx(0.95339).margin(0.5e-5));
    REQUIRE(area.interval_95);
    CHECK(area.interval_95->low < 0.83295);  // The logit leans the interval towards the middle.
    CHECK(area.interval_95->high < 0.95339);

    const auto fit = fit_binormal(kTomograms);
    REQUIRE(fit);
    CHECK(fit->a == Approx(1.656782).margin(2e-6));
    CHECK(fit->b == Approx(0.713002).margin(2e-6));
    CHECK(fit->d_a == Approx(1.907771).margin(2e-6));
    CHECK(fit->area == Approx(0.911331).margin(2e-6));
}

TEST_CASE("the points of the curve run from all no to all yes, and the area is that below them") {
    const auto points = roc_points(kTomograms);
    REQUIRE(points.size() == 6);
    CHECK(points[0].hits == 0.0);
    CHECK(points[1].false_alarms == Approx(2.0 / 58.0).epsilon(kRounding));
    CHECK(points[1].hits == Approx(33.0 / 51.0).epsilon(kRounding));
    CHECK(points[5].false_alarms == 1.0);
    CHECK(points[5].hits == 1.0);
    double area = 0.0;
    for (std::size_t i = 1; i < points.size(); ++i) {
        area += 0.5 * (points[i].hits + points[i - 1].hits) *
                (points[i].false_alarms - points[i - 1].false_alarms);
    }
    CHECK(roc_area(kTomograms).area == Approx(area).epsilon(kRounding));
    CHECK(roc_area({kTomograms.noise, kTomograms.signal}).area == Approx(1.0 - area).epsilon(kRounding));
}

TEST_CASE("the 95 % intervals of area and d_a hold 93 to 97 % of 1,000 simulated studies") {
    struct Study {
        double mean;
        double sd;
        int trials;
    };
    for (const Study& study : {Study{1.0, 1.0, 50}, Study{1.5, 1.4, 60}, Study{0.0, 1.0, 40}}) {
        Draws draws(77);
        const double area = true_area(study.mean, study.sd);
        const double d_a = study.mean / std::sqrt(0.5 * (1.0 + study.sd * study.sd));
        int area_held = 0;
        int d_a_held = 0;
        int fitted = 0;
        for (int i = 0; i < kSets; ++i) {
            const std::vector<int> signal = rated(draws, study.trials, study.mean, study.sd);
            const RatingCounts counts{signal, rated(draws, study.trials, 0.0, 1.0)};
            const RocArea found = roc_area(counts);
            area_held += !found.interval_95 || found.interval_95->holds(area) ? 1 : 0;
            const auto fit = fit_binormal(counts);
            fitted += fit ? 1 : 0;
            d_a_held += !fit || fit->d_a_95.holds(d_a) ? 1 : 0;
        }
        INFO(study.mean << " " << study.sd << ": " << area_held << " " << d_a_held << " " << fitted);
        CHECK(covers(area_held));
        CHECK(covers(d_a_held));
        CHECK(fitted >= 990);
    }
}

TEST_CASE("ratings that tell no spread have no interval, and too few categories no normal curve") {
    const RocArea apart = roc_area({{0, 0, 10}, {10, 0, 0}});
    CHECK(apart.area == 1.0);
    CHECK_FALSE(apart.interval_95);
    CHECK_FALSE(fit_binormal({{0, 0, 10}, {10, 0, 0}}));
    CHECK_FALSE(fit_binormal({{0, 0, 4, 10}, {10, 4, 0, 0}}));
    CHECK_FALSE(fit_binormal({{4, 10}, {10, 4}}));
    CHECK_FALSE(fit_binormal({{4, 0, 10}, {10, 0, 4}}));
    CHECK_FALSE(roc_area({{0, 1}, {5, 5}}).standard_error);
    // A category that nobody used changes nothing.
    CHECK(fit_binormal({{3, 2, 0, 2, 11, 33}, {33, 6, 0, 6, 11, 2}})->d_a ==
          Approx(fit_binormal(kTomograms)->d_a).epsilon(kRounding));
}

TEST_CASE("counts that cannot be are refused") {
    CHECK_THROWS_AS(roc_area({{1, 2}, {1, 2, 3}}), std::logic_error);
    CHECK_THROWS_AS(roc_area({{1}, {1}}), std::logic_error);
    CHECK_THROWS_AS(roc_area({{0, 0}, {1, 2}}), std::logic_error);
    CHECK_THROWS_AS(roc_area({{-1, 3}, {1, 2}}), std::logic_error);
}
