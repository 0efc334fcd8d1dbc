#include "base/psychometric_function.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>
#include <stdexcept>

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
TEST_CASE("a weibull gives 75 % successes at the independent program's 75 % threshold") {
    const auto cases = published_json("O7_psychometric_fits.json")["weibull"];
    REQUIRE(cases.size() == 4);
    for (const auto& data : cases) {
        const PsychometricFunction function{PsychometricForm::weibull, data["a_ML"].get<double>(),
                                            data["b_ML"].get<double>(), 0.5, 0.02};
        CHECK(success_probability(function, data["threshold_at_75_percent_correct"].get<double>()) ==
              Approx(0.75).epsilon(1e-9));
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
    const auto deviance_of = [&](PsychometricForm form, double intercept, double slope) {
        return deviance({form, -intercept / slope, slope, 0.0, 0.0}, beetles);
    };
    CHECK(deviance_of(PsychometricForm::logistic, -60.7175, 34.2703) == Approx(11.2322).margin(2e-4));
    CHECK(deviance_of(PsychometricForm::cumulative_normal, -34.9353, 19.7279) ==
          Approx(10.1198).margin(2e-4));
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
    CHECK(success_probability(normal, 10.0 + 2.0 * 3.090232) == Approx(0.999).margin(1e-8));
    CHECK(success_probability(normal, 10.0 - 2.0 * 3.090232) == Approx(0.001).margin(1e-8));
}

TEST_CASE("success grows with the level in every form, and success and failure sum to 1") {
    for (const PsychometricForm form :
         {PsychometricForm::weibull, PsychometricForm::logistic, PsychometricForm::cumulative_normal}) {
        const PsychometricFunction function{form, 0.7, 2.5, 0.25, 0.03};
        double below = 0.0;
        for (double level = 0.05; level < 2.0; level += 0.05) {
            const AnswerChances chances = answer_chances(function, level);
            INFO(to_string(form) << " at " << level);
            CHECK(chances.success + chances.failure == Approx(1.0).epsilon(1e-14));
            CHECK(chances.success > below);
            CHECK(chances.success >= function.guess);
            CHECK(chances.failure >= function.lapse);
            CHECK(success_probability(function, level) == chances.success);
            below = chances.success;
        }
    }
}

TEST_CASE("small chances keep their digits") {
    // 1 - F is exp(-(x/a)^b): of 1e-20 nothing would be left beside 1.
    const PsychometricFunction weibull{PsychometricForm::weibull, 1.0, 1.0, 0.0, 0.0};
    CHECK(answer_chances(weibull, 46.0).failure == Approx(std::exp(-46.0)).epsilon(1e-12));
    const std::vector<LevelCount> one_failure{{46.0, 1, 0}};
    CHECK(log_likelihood(weibull, one_failure) == Approx(-46.0).epsilon(test::kRoundingOfDoubles));
    const std::vector<LevelCount> impossible{{0.0, 1, 1}};
    CHECK(log_likelihood(weibull, impossible) == -std::numeric_limits<double>::infinity());
}

TEST_CASE("a negative level of a weibull and more successes than trials break an invariant") {
    const PsychometricFunction weibull;
    CHECK_THROWS_AS(success_probability(weibull, -0.1), std::logic_error);
    const std::vector<LevelCount> impossible{{1.0, 2, 3}};
    CHECK_THROWS_AS(log_likelihood(weibull, impossible), std::logic_error);
}
