#include "analysis/fits/psychometric_fit.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <nlohmann/json.hpp>

#include "analysis/fits/psychometric_information.h"
#include "base/random.h"
#include "support/error_text.h"
#include "support/published_table.h"
#include "support/tolerances.h"

using namespace isoseam;
using Catch::Matchers::Contains;

namespace {

constexpr double kPrintedDigits = 5e-5;  // half a unit of the fourth decimal, as printed
constexpr double kRegular =
    1e-4;  // relative, of parameters and interval ends, as the reference figures advise
constexpr double kLogLikelihood = 1e-6;
// The search stops at differences of likelihood of 1e-11, whose square root bounds the parameters.
constexpr double kSearch = 1e-5;

std::vector<LevelCount> tallies(const nlohmann::json& levels, const nlohmann::json& trials,
                                const nlohmann::json& successes) {
    std::vector<LevelCount> counts;
    for (std::size_t i = 0; i < levels.size(); ++i)
        counts.push_back({levels[i].get<double>(), trials[i].get<int>(), successes[i].get<int>()});
    return counts;
}

std::vector<LevelCount> oracle_counts(const nlohmann::json& one) {
    return tallies(one.at("x"), one.at("n"), one.at("k"));
}

void check_end(const std::optional<double>& end, const nlohmann::json& expected) {
    REQUIRE(end.has_value() == !expected.is_null());
    if (end)
        CHECK(*end == Approx(expected.get<double>()).epsilon(kRegular));
}

std::string joined(const std::vector<std::string>& words) {
    std::string text;
    for (const std::string& one : words)
        text += one + "\n";
    return text;
}

// Six levels around the threshold, as constant stimuli show them.
std::vector<LevelCount> simulated(const PsychometricFunction& curve, const std::vector<double>& levels,
                                  int trials, const RandomStream& random) {
    std::vector<LevelCount> counts;
    std::uint64_t draw = 0;
    for (const double level : levels) {
        counts.push_back({level, trials, 0});
        for (int i = 0; i < trials; ++i)
            counts.back().successes += random.uniform(draw++) < success_probability(curve, level) ? 1 : 0;
    }
    return counts;
}

bool covers(const FitInterval& interval, double truth) {
    return !(interval.low && *interval.low > truth) && !(interval.high && *interval.high < truth);
}

struct Coverage {
    int threshold = 0;
    int slope = 0;
};
Coverage coverage(int data_sets, int trials_per_level) {
    const PsychometricFunction truth{PsychometricForm::weibull, 0.05, 2.5, 0.5, 0.02};
    Coverage covered;
    for (int i = 0; i < data_sets; ++i) {
        const auto counts = simulated(truth, {0.02, 0.03, 0.04, 0.055, 0.075, 0.1}, trials_per_level,
                                      {2026, static_cast<std::uint32_t>(i)});
        const PsychometricFit fit = fit_psychometric({PsychometricForm::weibull, 0.5, 0.02}, counts);
        covered.threshold += covers(fit.threshold_95, truth.threshold) ? 1 : 0;
        covered.slope += covers(fit.slope_95, truth.slope) ? 1 : 0;
    }
    return covered;
}

}  // namespace

// Reference: an independent model in another language, see the file.
TEST_CASE("weibull fits and profile intervals are those of an independent program") {
    const nlohmann::json oracle = test::published_json("O7_psychometric_fits.json");
    int regular = 0;
    for (const nlohmann::json& one : oracle.at("weibull")) {
        CAPTURE(one.at("name").get<std::string>());
        const PsychometricFit fit =
            fit_psychometric({PsychometricForm::weibull, 0.5, 0.02}, oracle_counts(one));
        check_end(fit.threshold_95.low, one.at("profile_95_interval_for_a")[0]);
        check_end(fit.threshold_95.high, one.at("profile_95_interval_for_a")[1]);
        if (one.at("name") == "no_errors_at_all") {
            CHECK(fit.log_likelihood == Approx(24.0 * std::log(0.98)).margin(kLogLikelihood));
            CHECK_FALSE(fit.curve);
            CHECK(joined(fit.not_identified) ==
                  "every trial was a success: the threshold lies below the levels shown\n");
            continue;
        }
        ++regular;
        REQUIRE(fit.curve);
        CHECK(fit.curve->threshold == Approx(one.at("a_ML").get<double>()).epsilon(kRegular));
        CHECK(fit.curve->slope == Approx(one.at("b_ML").get<double>()).epsilon(kRegular));
        CHECK(fit.log_likelihood ==
              Approx(one.at("log_likelihood_kernel").get<double>()).margin(kLogLikelihood));
        CHECK(fit.deviance == Approx(one.at("deviance").get<double>()).margin(kLogLikelihood));
    }
    CHECK(regular == 3);
}

TEST_CASE("a cumulative normal fit and its profile interval are those of an independent program") {
    const nlohmann::json one = test::published_json("O7_psychometric_fits.json").at("probit").at("cases")[0];
    const nlohmann::json& expected = one.at("fit");
    const std::vector<LevelCount> counts = oracle_counts(one);
    const PsychometricFit fit = fit_psychometric({PsychometricForm::cumulative_normal, 0.0, 0.0}, counts);
    REQUIRE(fit.curve);
    CHECK(fit.curve->threshold == Approx(expected.at("mu").get<double>()).epsilon(kRegular));
    CHECK(1.0 / fit.curve->slope == Approx(expected.at("sigma").get<double>()).epsilon(kRegular));
    CHECK(fit.log_likelihood ==
          Approx(expected.at("log_likelihood_kernel").get<double>()).margin(kLogLikelihood));
    CHECK(fit.deviance == Approx(expected.at("deviance").get<double>()).margin(kLogLikelihood));
    check_end(fit.threshold_95.low, expected.at("mu_95_profile")[0]);
    check_end(fit.threshold_95.high, expected.at("mu_95_profile")[1]);
    const auto matrix = covariance(*fit.curve, counts, Information::expected);
    REQUIRE(matrix);
    CHECK(std::sqrt(matrix->front()) == Approx(expected.at("se_mu_delta").get<double>()).epsilon(kRegular));
}

// Bliss 1935, as in Dobson's textbook: see the file. The complementary log-log of log dose is a weibull of
// dose.
TEST_CASE("the beetles of Bliss give the published coefficients, standard errors and deviances") {
    const nlohmann::json table = test::published_json("bliss_1935_beetles.json");
    const std::vector<LevelCount> doses =
        tallies(table.at("log10_dose"), table.at("trials"), table.at("killed"));
    const auto form =
        GENERATE(PsychometricForm::logistic, PsychometricForm::cumulative_normal, PsychometricForm::weibull);
    const bool weibull = form == PsychometricForm::weibull;
    const nlohmann::json& published = table.at("fits").at(
        weibull ? "complementary log-log" : (form == PsychometricForm::logistic ? "logit" : "probit"));
    std::vector<LevelCount> counts = doses;
    for (LevelCount& count : counts)
        count.level = weibull ? std::pow(10.0, count.level) : count.level;
    const PsychometricFit fit = fit_psychometric({form, 0.0, 0.0}, counts);
    REQUIRE(fit.curve);
    const double t = fit.curve->threshold;
    const double s = fit.curve->slope;
    CHECK(-s * (weibull ? std::log(t) : t) ==
          Approx(published.at("intercept").get<double>()).margin(kPrintedDigits).epsilon(kSearch));
    const double to_slope = weibull ? std::log(10.0) : 1.0;
    CHECK(to_slope * s ==
          Approx(published.at("slope").get<double>()).margin(kPrintedDigits).epsilon(kSearch));
    CHECK(fit.deviance == Approx(published.at("deviance").get<double>()).margin(kPrintedDigits));
    const auto matrix = covariance(*fit.curve, counts, Information::expected);
    REQUIRE(matrix);
    const double by_t = weibull ? s / t : s;
    const double by_s = weibull ? std::log(t) : t;
    const double variance =
        by_t * by_t * (*matrix)[0] + 2.0 * by_t * by_s * (*matrix)[1] + by_s * by_s * (*matrix)[2];
    CHECK(std::sqrt(variance) == Approx(published.at("intercept_se").get<double>()).epsilon(kRegular));
    CHECK(to_slope * std::sqrt((*matrix)[2]) ==
          Approx(published.at("slope_se").get<double>()).epsilon(kRegular));
    // Observed and expected information are one for the logit (its canonical link) and near for the others.
    constexpr double kNear = 0.1;
    REQUIRE(fit.standard_error.slope);
    CHECK(*fit.standard_error.slope ==
          Approx(std::sqrt((*matrix)[2])).epsilon(form == PsychometricForm::logistic ? kRegular : kNear));
}

// erf of the C++ library: a squared normal variable lies below x with erf(sqrt(x / 2)).
TEST_CASE("the ends of a profile interval lie where the likelihood ratio reaches 95 % of chi-square") {
    const std::vector<LevelCount> counts = {{0.02, 40, 22}, {0.04, 40, 27}, {0.06, 40, 35}, {0.1, 40, 40}};
    const PsychometricFit fit = fit_psychometric({PsychometricForm::weibull, 0.5, 0.02}, counts);
    REQUIRE((fit.curve && fit.threshold_95.low && fit.threshold_95.high));
    for (const double end : {*fit.threshold_95.low, *fit.threshold_95.high}) {
        double best = -1e300;
        for (double slope = 0.1; slope < 50.0; slope *= 1.0005)
            best = std::max(best, log_likelihood({PsychometricForm::weibull, end, slope, 0.5, 0.02}, counts));
        const double ratio = 2.0 * (fit.log_likelihood - best);
        CHECK(std::erf(std::sqrt(ratio / 2.0)) == Approx(0.95).margin(kRegular));
    }
}

TEST_CASE("a fit is exact where the data are, for every form, with rates free") {
    const auto form =
        GENERATE(PsychometricForm::weibull, PsychometricForm::logistic, PsychometricForm::cumulative_normal);
    const PsychometricFunction truth{form, 0.6, form == PsychometricForm::weibull ? 2.0 : 6.0, 0.2, 0.05};
    std::vector<LevelCount> counts;
    constexpr int kMany = 100000000;
    for (const double level : {0.05, 0.2, 0.4, 0.5, 0.6, 0.7, 0.9, 1.2, 1.6})
        counts.push_back(
            {level, kMany, static_cast<int>(std::lround(kMany * success_probability(truth, level)))});
    const PsychometricFit fit = fit_psychometric({form, std::nullopt, std::nullopt}, counts);
    REQUIRE(fit.curve);
    constexpr double kCountsRounded = 1e-5;
    CHECK(fit.curve->threshold == Approx(truth.threshold).epsilon(kCountsRounded));
    CHECK(fit.curve->slope == Approx(truth.slope).epsilon(kCountsRounded));
    CHECK(fit.curve->guess == Approx(truth.guess).epsilon(kCountsRounded));
    CHECK(fit.curve->lapse == Approx(truth.lapse).epsilon(kCountsRounded));
    CHECK(joined(fit.notes) ==
          "standard errors take the free guess and lapse rates as known; the intervals do not\n");
}

TEST_CASE("what counts cannot tell is said in words") {
    const auto said = [](const std::vector<LevelCount>& counts,
                         PsychometricForm form = PsychometricForm::weibull, double lapse = 0.02) {
        const PsychometricFit fit = fit_psychometric({form, 0.0, lapse}, counts);
        CHECK_FALSE(fit.curve);
        CHECK_FALSE(fit.standard_error.threshold);
        return joined(fit.not_identified);
    };
    CHECK(said({{0.1, 9, 0}, {0.2, 9, 0}}) ==
          "no trial was a success: the threshold lies above the levels shown\n");
    CHECK(said({{0.1, 9, 4}}) ==
          "only one level was shown (4 of 9 trials a success): threshold and slope need several\n");
    CHECK_THAT(said({{0.1, 20, 0}, {0.2, 20, 0}, {0.4, 20, 20}, {0.8, 20, 20}}),
               Contains("the slope is at its upper bound: successes change all at once"));
    CHECK_THAT(said({{0.1, 20, 15}, {0.2, 20, 10}, {0.4, 20, 5}}, PsychometricForm::logistic),
               Contains("the slope is at its lower bound: successes do not grow with the level"));
    CHECK_THAT(said({{0.1, 40, 2}, {0.2, 40, 4}, {0.4, 40, 8}}),
               Contains("the best threshold lies outside the levels shown"));
    CHECK_THAT(said({{0.0, 9, 1}, {0.2, 9, 5}, {0.4, 9, 9}}, PsychometricForm::weibull, 0.0),
               Contains("no curve of this form with these guess and lapse rates can give these answers"));
}

TEST_CASE("what cannot be fitted is refused with what to do") {
    const auto refused = [](const FitModel& model, const std::vector<LevelCount>& counts) {
        return test::input_error_text([&] { static_cast<void>(fit_psychometric(model, counts)); });
    };
    const std::vector<LevelCount> counts = {{-0.1, 9, 2}, {0.1, 9, 7}};
    CHECK(refused({PsychometricForm::weibull, 0.0, 0.0}, counts) ==
          "form: a weibull has no level below 0, and -0.1 was shown; choose the form logistic or "
          "cumulative_normal");
    CHECK_THAT(refused({PsychometricForm::logistic, std::nan(""), 1.5}, counts),
               Contains("guess: nan is no guess rate") && Contains("lapse: 1.5 is no lapse rate"));
    CHECK_THAT(refused({PsychometricForm::logistic, 0.5, 0.5}, counts),
               Contains("leave nothing to the level"));
    CHECK_THAT(refused({PsychometricForm::logistic, 0.5, 0.02}, {}), Contains("there is no trial"));
}

TEST_CASE("levels that differ by rounding only are one, in any order") {
    const std::vector<LevelCount> counts =
        tallied(std::vector<LevelCount>{{0.3, 1, 1}, {0.1, 2, 0}, {0.1 + 0.2, 3, 1}});
    REQUIRE(counts.size() == 2);
    CHECK((counts[0].trials == 2 && counts[1].trials == 4 && counts[1].successes == 2));
}

TEST_CASE("the bootstrap depends on the seed alone and agrees with the likelihood where trials are many") {
    const FitModel model{PsychometricForm::logistic, 0.0, 0.0};
    const std::vector<LevelCount> counts =
        simulated({PsychometricForm::logistic, 0.0, 1.5, 0.0, 0.0}, {-2.0, -1.0, 0.0, 1.0, 2.0}, 200, {3, 1});
    const PsychometricFit fit = fit_psychometric(model, counts);
    constexpr int kSamples = 400;
    const FitBootstrap one = bootstrap(fit, counts, kSamples, 7);
    const FitBootstrap same = bootstrap(fit, counts, kSamples, 7);
    const FitBootstrap other = bootstrap(fit, counts, kSamples, 8);
    CHECK(one.threshold_95.low == same.threshold_95.low);
    CHECK(one.threshold_95.low != other.threshold_95.low);
    // The 2.5 % point of 400 samples scatters by 2.7 SDs / 20 = 0.13 SD: four of these.
    const double kScatter = 4.0 * 0.13 * *fit.standard_error.threshold;
    CHECK(*one.threshold_95.low == Approx(*fit.threshold_95.low).margin(kScatter));
    CHECK(*one.threshold_95.high == Approx(*fit.threshold_95.high).margin(kScatter));
    CHECK(*one.slope_95.low == Approx(*fit.slope_95.low).margin(4.0 * 0.13 * *fit.standard_error.slope));
    CHECK(one.goodness_p > 0.05);
    CHECK(one.at_a_bound == 0);
    // Answers of two kinds of trial, mixed: no logistic goes with them.
    const std::vector<LevelCount> odd = {
        {-2.0, 200, 90}, {-1.0, 200, 20}, {0.0, 200, 100}, {1.0, 200, 190}, {2.0, 200, 130}};
    CHECK(bootstrap(fit_psychometric(model, odd), odd, 100, 7).goodness_p ==
          Approx(1.0 / 101.0).epsilon(test::kRoundingOfDoubles));
}

// 95 % of 120 is 114, SD 2.4 if the intervals are right. Below 104 lies one seed in 10 000 (binomial,
// computed).
TEST_CASE("95 % intervals hold the true value about as often as they say") {
    const Coverage covered = coverage(120, 40);
    CHECK(covered.threshold >= 104);
    CHECK(covered.slope >= 104);
}

// With half the trials, 94.1 % of 6000 sets were measured: the chi-square distribution is reached with many
// trials only.
TEST_CASE("95 % intervals hold the true value in 93 to 97 % of 1000 sets", "[.][thousand]") {
    const Coverage covered = coverage(1000, 80);
    WARN("threshold " << covered.threshold << ", slope " << covered.slope << " of 1000");
    CHECK((covered.threshold >= 930 && covered.threshold <= 970));
    CHECK((covered.slope >= 930 && covered.slope <= 970));
}
