// Posteriors of threshold and slope under flat priors.

#include <catch2/catch.hpp>
#include <cmath>

#include "analysis/fits/psychometric_posterior.h"
#include "base/random.h"
#include "support/error_text.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

std::vector<LevelCount> tallies(const PsychometricFunction& truth, int trials, std::uint64_t seed) {
    const RandomStream draws{seed, kStreamBootstrap};
    std::vector<LevelCount> counts;
    std::uint64_t draw = 0;
    for (const double level : {0.04, 0.06, 0.08, 0.11, 0.15, 0.2}) {
        LevelCount count{level, trials, 0};
        for (int i = 0; i < trials; ++i)
            count.successes += draws.uniform(draw++) < success_probability(truth, level) ? 1 : 0;
        counts.push_back(count);
    }
    return counts;
}

const FitModel kModel{PsychometricForm::weibull, 0.5, 0.02};
const PsychometricFunction kTruth{PsychometricForm::weibull, 0.1, 3.5, 0.5, 0.02};

}  // namespace

TEST_CASE("with many answers the posterior is the likelihood's normal curve") {
    for (const PsychometricForm form :
         {PsychometricForm::weibull, PsychometricForm::logistic, PsychometricForm::cumulative_normal}) {
        FitModel model = kModel;
        model.form = form;
        PsychometricFunction truth = kTruth;
        truth.form = form;
        if (form != PsychometricForm::weibull)
            truth.slope = 40.0;
        const std::vector<LevelCount> counts = tallies(truth, 4000, 11);
        const PsychometricFit fit = fit_psychometric(model, counts);
        REQUIRE(fit.curve);
        const std::optional<FitPosterior> found = posterior(model, counts);
        REQUIRE(found);
        // The Bernstein-von Mises theorem; the grid's cells are wider than the posterior at this many
        // answers.
        CHECK(found->threshold.mean == Approx(fit.curve->threshold).epsilon(0.01));
        CHECK(found->slope.mean == Approx(fit.curve->slope).epsilon(0.05));
        CHECK_FALSE(found->at_a_border);
    }
    const std::vector<LevelCount> counts = tallies(kTruth, 200, 12);
    const PsychometricFit fit = fit_psychometric(kModel, counts);
    const std::optional<FitPosterior> found = posterior(kModel, counts);
    REQUIRE(found);
    CHECK(found->threshold.sd == Approx(*fit.standard_error.threshold).epsilon(0.15));
    CHECK(found->slope.sd == Approx(*fit.standard_error.slope).epsilon(0.15));
}

TEST_CASE("the posterior's middle 95 % holds the truth in 93 to 97 % of 1,000 seeded sets") {
    int threshold = 0;
    int slope = 0;
    for (std::uint64_t seed = 0; seed < 1000; ++seed) {
        const std::optional<FitPosterior> found = posterior(kModel, tallies(kTruth, 40, 1000 + seed));
        REQUIRE(found);
        threshold += found->threshold.low <= kTruth.threshold && kTruth.threshold <= found->threshold.high;
        slope += found->slope.low <= kTruth.slope && kTruth.slope <= found->slope.high;
    }
    CAPTURE(threshold, slope);
    CHECK((threshold >= 930 && threshold <= 970));
    CHECK((slope >= 930 && slope <= 970));
}

TEST_CASE("a posterior says where it is the priors' own, and free rates have one too") {
    const std::vector<LevelCount> all_right{{0.1, 20, 20}, {0.2, 20, 20}};
    const std::optional<FitPosterior> found = posterior(kModel, all_right);
    REQUIRE(found);
    CHECK(found->at_a_border);
    CHECK_FALSE(posterior(kModel, std::vector<LevelCount>{{0.1, 20, 15}}));

    FitModel free = kModel;
    free.lapse.reset();
    const std::optional<FitPosterior> rates = posterior(free, tallies(kTruth, 100, 5));
    REQUIRE(rates);
    REQUIRE(rates->lapse);
    CHECK(rates->lapse->mean > 0.0);
    CHECK(rates->lapse->high < kMostFreeLapse);
    CHECK_FALSE(rates->guess);
    FitModel wrong = kModel;
    wrong.guess = 1.5;
    CHECK(input_error_text([&] { static_cast<void>(posterior(wrong, all_right)); }) != "no error");
}
