#include "protocols/procedures/psychometric.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>

#include "support/error_text.h"
#include "support/published_table.h"
#include "support/tolerances.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

std::vector<LevelCount> counts_of(const nlohmann::json& data) {
    std::vector<LevelCount> counts;
    for (std::size_t i = 0; i < data["x"].size(); ++i)
        counts.push_back({data["x"][i].get<double>(), data["n"][i].get<int>(), data["k"][i].get<int>()});
    return counts;
}

double log_likelihood_saturated(const std::vector<LevelCount>& counts) {
    double sum = 0.0;
    for (const LevelCount& count : counts) {
        const double k = count.successes;
        const double n = count.trials;
        sum += (k > 0 ? k * std::log(k / n) : 0.0) + (k < n ? (n - k) * std::log((n - k) / n) : 0.0);
    }
    return sum;
}

}  // namespace

// O7, computed for this project by an independent program.
TEST_CASE("log-likelihoods of a weibull are those of an independent program") {
    const auto cases = published_json("O7_psychometric_fits.json")["weibull"];
    REQUIRE(cases.size() == 4);
    for (const auto& data : cases) {
        INFO(data["name"].get<std::string>());
        const std::vector<LevelCount> counts = counts_of(data);
        PsychometricFunction function{PsychometricForm::weibull, data["a_ML"].get<double>(),
                                      data["b_ML"].get<double>(), 0.5, 0.02};
        CHECK(log_likelihood(function, counts) ==
              Approx(data["log_likelihood_kernel"].get<double>()).margin(1e-6));
        for (const auto& row : data["profile_over_slope [b, best a, log-likelihood]"]) {
            function.slope = row[0].get<double>();
            function.threshold = row[1].get<double>();
            CHECK(log_likelihood(function, counts) == Approx(row[2].get<double>()).margin(1e-6));
        }
    }
}

// O7 again: the threshold where 75 % of the answers are right.
TEST_CASE("the inverse of a weibull finds the independent program's 75 % threshold") {
    const auto cases = published_json("O7_psychometric_fits.json")["weibull"];
    REQUIRE(cases.size() == 4);
    for (const auto& data : cases) {
        const PsychometricFunction function{PsychometricForm::weibull, data["a_ML"].get<double>(),
                                            data["b_ML"].get<double>(), 0.5, 0.02};
        CHECK(level_of(function, 0.75) ==
              Approx(data["threshold_at_75_percent_correct"].get<double>()).epsilon(1e-9));
    }
}

TEST_CASE("the log-likelihood of a cumulative normal is that of an independent program") {
    const auto data = published_json("O7_psychometric_fits.json")["probit"]["cases"][0];
    const PsychometricFunction function{PsychometricForm::cumulative_normal, data["fit"]["mu"].get<double>(),
                                        1.0 / data["fit"]["sigma"].get<double>(), 0.0, 0.0};
    CHECK(log_likelihood(function, counts_of(data)) ==
          Approx(data["fit"]["log_likelihood_kernel"].get<double>()).margin(1e-6));
}

// Bliss 1935, beetle mortality, as in Dobson's textbook: maximum-likelihood fits and their deviances.
// Coefficients are given to four decimals, deviances too; at a maximum the rounding of the former hardly
// moves the latter.
TEST_CASE("textbook fits to Bliss's data have the textbook's deviance") {
    const std::vector<LevelCount> beetles{{1.6907, 59, 6},  {1.7242, 60, 13}, {1.7552, 62, 18},
                                          {1.7842, 56, 28}, {1.8113, 63, 52}, {1.8369, 59, 53},
                                          {1.8610, 62, 61}, {1.8839, 60, 60}};
    const auto deviance = [&](PsychometricForm form, double intercept, double slope) {
        const PsychometricFunction function{form, -intercept / slope, slope, 0.0, 0.0};
        return 2.0 * (log_likelihood_saturated(beetles) - log_likelihood(function, beetles));
    };
    CHECK(deviance(PsychometricForm::logistic, -60.7175, 34.2703) == Approx(11.2322).margin(2e-4));
    CHECK(deviance(PsychometricForm::cumulative_normal, -34.9353, 19.7279) == Approx(10.1198).margin(2e-4));
}

TEST_CASE("at the threshold a weibull gives 1 - 1/e, the others a half") {
    // Common practice, no source.
    CHECK(success_probability({PsychometricForm::weibull, 0.3, 3.5, 0.0, 0.0}, 0.3) ==
          Approx(1.0 - std::exp(-1.0)).epsilon(1e-14));
    CHECK(success_probability({PsychometricForm::weibull, 0.3, 3.5, 0.5, 0.02}, 0.0) == 0.5);
    CHECK(success_probability({PsychometricForm::logistic, -2.0, 3.5, 0.2, 0.1}, -2.0) ==
          Approx(0.55).epsilon(test::kRoundingOfDoubles));
    // Table of the normal distribution: 1.959964 SD at 97.5 %, 3.090232 at 99.9 %.
    const PsychometricFunction normal{PsychometricForm::cumulative_normal, 10.0, 0.5, 0.0, 0.0};
    CHECK(success_probability(normal, 10.0 + 2.0 * 1.959964) == Approx(0.975).margin(1e-8));
    CHECK(level_of(normal, 0.999) == Approx(10.0 + 2.0 * 3.090232).margin(1e-6));
    CHECK(level_of(normal, 0.001) == Approx(10.0 - 2.0 * 3.090232).margin(1e-6));
}

TEST_CASE("the inverse undoes every form, and success and failure sum to 1") {
    for (const PsychometricForm form :
         {PsychometricForm::weibull, PsychometricForm::logistic, PsychometricForm::cumulative_normal}) {
        const PsychometricFunction function{form, 0.7, 2.5, 0.25, 0.03};
        for (double level = 0.05; level < 2.0; level += 0.05) {
            const double p = success_probability(function, level);
            INFO(to_string(form) << " at " << level);
            CHECK(p + failure_probability(function, level) == Approx(1.0).epsilon(1e-14));
            if (p > 0.2501 && p < 0.9699)
                CHECK(level_of(function, p) == Approx(level).epsilon(1e-9));
        }
    }
}

TEST_CASE("small chances keep their digits") {
    // 1 - F is exp(-(x/a)^b): of 1e-20 nothing would be left beside 1.
    const PsychometricFunction weibull{PsychometricForm::weibull, 1.0, 1.0, 0.0, 0.0};
    CHECK(failure_probability(weibull, 46.0) == Approx(std::exp(-46.0)).epsilon(1e-12));
    const std::vector<LevelCount> one_failure{{46.0, 1, 0}};
    CHECK(log_likelihood(weibull, one_failure) == Approx(-46.0).epsilon(test::kRoundingOfDoubles));
    const std::vector<LevelCount> impossible{{0.0, 1, 1}};
    CHECK(log_likelihood(weibull, impossible) == -std::numeric_limits<double>::infinity());
}

TEST_CASE("faults of a psychometric function are told together, NaN among them") {
    CHECK(faults(PsychometricFunction{}).empty());
    const PsychometricFunction wrong{PsychometricForm::weibull, -1.0,
                                     std::numeric_limits<double>::quiet_NaN(), 0.6, 0.5};
    const std::vector<Fault> found = faults(wrong);
    REQUIRE(found.size() == 3);
    CHECK(to_string(found[0]) == "threshold: -1 is no threshold of a weibull; write a number above 0");
    CHECK(to_string(found[1]) == "slope: nan is no slope; write a number above 0");
    CHECK(to_string(found[2]) ==
          "lapse: guess 0.6 and lapse 0.5 leave nothing to the level; let their sum be below 1");
    CHECK(
        input_error_text([] {
            return level_of({PsychometricForm::logistic, 0.0, 1.0, 0.5, 0.02}, 0.99);
        }) ==
        "probability: no level gives 99 % successes; ask for more than the guess, 50 %, and less than 98 %");
}
