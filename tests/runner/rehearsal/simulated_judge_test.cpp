#include "runner/rehearsal/simulated_judge.h"
#include "support/tolerances.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <set>
#include <vector>

using namespace isoseam;

namespace {

// A share of so many answers lies within five standard errors of its probability: for a normal, one false
// alarm in 1.7 million checks.
void check_share(int successes, int trials, double probability) {
    const double error = std::sqrt(probability * (1.0 - probability) / trials);
    INFO(successes << " of " << trials << ", expected share " << probability);
    CHECK(std::abs(static_cast<double>(successes) / trials - probability) <= 5.0 * error);
}

constexpr int kTrials = 20'000;

JudgeTraits cone_noise(double criterion, double lapses) {
    return {Eigen::Vector3d(0.005, 0.005, 0.02).asDiagonal(), criterion, lapses};
}

// How often the answer is the wanted one, over so many trials with the target in a place that goes round.
template <class Wanted>
int count(const JudgeTraits& traits, AnswerForm form, const Eigen::Vector3d& target, int places,
          const Wanted& wanted) {
    const RandomStream stream{11, kStreamSimulatedAnswer};
    int found = 0;
    for (int trial = 0; trial < kTrials; ++trial) {
        const int place = trial % places;
        std::vector<Eigen::Vector3d> seen(static_cast<std::size_t>(places), Eigen::Vector3d::Zero());
        seen[static_cast<std::size_t>(place)] = target;
        const TrialResponse answer =
            judge(traits, form, seen, 5, stream, static_cast<std::uint64_t>(trial) * kDrawsPerAnswer);
        found += wanted(answer, place) ? 1 : 0;
    }
    return found;
}

const auto kNamesPlace = [](const TrialResponse& answer, int place) {
    return answer.kind == TrialResponse::Kind::place && answer.value == place;
};
const auto kSaysYes = [](const TrialResponse& answer, int) {
    return answer.kind == TrialResponse::Kind::yes;
};
const auto kSaysDifferent = [](const TrialResponse& answer, int) {
    return answer.kind == TrialResponse::Kind::different;
};

}  // namespace

TEST_CASE("lengths of noise follow the chi-square distribution of three degrees of freedom") {
    // Upper points of chi-square in any handbook of statistics, to their printed digits (from memory).
    for (const auto& [chi_square, probability] :
         {std::pair(0.115, 0.01), {0.352, 0.05}, {2.366, 0.5}, {6.251, 0.9}, {7.815, 0.95}, {11.345, 0.99}})
        CHECK(length_distribution(std::sqrt(chi_square), 0.0) == Approx(probability).margin(2e-4));
    // The noncentral one as the Poisson mixture of central ones (its definition in handbooks), summed with
    // mpmath, a general library of arithmetic, to 30 digits.
    CHECK(length_distribution(1.0, 1.0) == Approx(0.132298554164).epsilon(1e-10));
    CHECK(length_distribution(2.5, 0.5) == Approx(0.876781733818).epsilon(1e-10));
    CHECK(length_distribution(2.5, 2.0) == Approx(0.515434392089).epsilon(1e-10));
    CHECK(length_distribution(4.0, 3.0) == Approx(0.760687837897).epsilon(1e-10));
    CHECK(length_distribution(6.0, 5.0) == Approx(0.792950601165).epsilon(1e-10));
    // Small distances join the limit.
    CHECK(length_distribution(2.0, 1.1e-5) == Approx(length_distribution(2.0, 0.9e-5)).epsilon(1e-9));
}

TEST_CASE("a target is found as often as the model says, among two places and among four") {
    const JudgeTraits traits = cone_noise(2.5, 0.0);
    const Eigen::Vector3d target(0.006, -0.004, 0.02);
    const double distance = std::sqrt(1.2 * 1.2 + 0.8 * 0.8 + 1.0);  // in SDs of each cone
    CHECK(distance_of(traits, target) == Approx(distance).epsilon(test::kRoundingOfDoubles));
    for (const int places : {2, 4}) {
        check_share(count(traits, AnswerForm::place, target, places, kNamesPlace), kTrials,
                    success_probability(traits, AnswerForm::place, distance, places));
        // Without a target every place is as likely as the others.
        check_share(count(traits, AnswerForm::place, Eigen::Vector3d::Zero(), places, kNamesPlace), kTrials,
                    1.0 / places);
        CHECK(success_probability(traits, AnswerForm::place, 0.0, places) ==
              Approx(1.0 / places).epsilon(1e-8));
    }
}

TEST_CASE("noise that is correlated between cones is measured along its own axes") {
    JudgeTraits traits;
    traits.noise_root << 0.01, 0.0, 0.0, 0.009, 0.002, 0.0, 0.0, 0.0, 0.02;
    // Along L+M the noise is large, against it small: the same contrast is nothing there and much here.
    CHECK(distance_of(traits, {0.01, 0.009, 0.0}) == Approx(1.0).epsilon(test::kRoundingOfDoubles));
    CHECK(distance_of(traits, {0.01, -0.009, 0.0}) > 8.0);
    const double distance = distance_of(traits, {0.012, 0.014, 0.0});
    check_share(count(traits, AnswerForm::yes_no, {0.012, 0.014, 0.0}, 1, kSaysYes), kTrials,
                success_probability(traits, AnswerForm::yes_no, distance, 1));
}

TEST_CASE("a criterion decides between yes and no, and between same and different") {
    for (const double criterion : {1.5, 2.5}) {
        const JudgeTraits traits = cone_noise(criterion, 0.0);
        for (const double distance : {0.0, 2.0}) {
            const Eigen::Vector3d target(0.005 * distance, 0.0, 0.0);
            check_share(count(traits, AnswerForm::yes_no, target, 1, kSaysYes), kTrials,
                        1.0 - length_distribution(criterion, distance));
            // Both lights are seen with noise, so a difference counts by the root of two less.
            check_share(count(traits, AnswerForm::same_different, target, 1, kSaysDifferent), kTrials,
                        1.0 - length_distribution(criterion, distance / std::sqrt(2.0)));
        }
    }
}

TEST_CASE("ratings are spread by criteria about the one of yes and no") {
    const JudgeTraits traits = cone_noise(2.5, 0.0);
    for (int category = 1; category <= 5; ++category) {
        const auto is_it = [&](const TrialResponse& answer, int) { return answer.value == category; };
        const double lower = 2.5 * 2.0 * (category - 1) / 5.0;
        const double upper = 2.5 * 2.0 * category / 5.0;
        const double below = category == 5 ? 1.0 : length_distribution(upper, 1.5);
        check_share(count(traits, AnswerForm::rating, {0.0075, 0.0, 0.0}, 1, is_it), kTrials,
                    below - length_distribution(lower, 1.5));
    }
}

TEST_CASE("lapses are answers at random") {
    const JudgeTraits traits = cone_noise(2.5, 0.3);
    const Eigen::Vector3d plain(0.2, 0.2, 0.0);
    check_share(count(traits, AnswerForm::place, plain, 4, kNamesPlace), kTrials, 0.7 + 0.3 / 4.0);
    check_share(count(traits, AnswerForm::yes_no, plain, 1, kSaysYes), kTrials, 0.7 + 0.3 / 2.0);
    CHECK(success_probability(traits, AnswerForm::place, 100.0, 4) ==
          Approx(0.775).epsilon(test::kFiveDigits));
    CHECK(success_probability(traits, AnswerForm::yes_no, 100.0, 1) ==
          Approx(0.85).epsilon(test::kFiveDigits));
}

TEST_CASE("the distance for a share of successes is where the model has it, or there is none") {
    const JudgeTraits traits = cone_noise(2.5, 0.02);
    for (const AnswerForm form : {AnswerForm::place, AnswerForm::yes_no, AnswerForm::same_different}) {
        const std::optional<double> distance = distance_for(traits, form, 0.75, 2);
        REQUIRE(distance);
        CHECK(success_probability(traits, form, *distance, 2) == Approx(0.75).epsilon(1e-9));
    }
    CHECK_FALSE(distance_for(traits, AnswerForm::place, 0.4, 2));    // guessing is better
    CHECK_FALSE(distance_for(traits, AnswerForm::place, 0.995, 2));  // lapses are worse
}

TEST_CASE("the same draws give the same answer, others another") {
    const JudgeTraits traits = cone_noise(2.5, 0.1);
    const std::vector<Eigen::Vector3d> places(4, Eigen::Vector3d::Zero());
    std::vector<int> once;
    std::vector<int> again;
    for (std::vector<int>* answers : {&once, &again}) {
        for (std::uint64_t trial = 0; trial < 50; ++trial)
            answers->push_back(judge(traits, AnswerForm::place, places, 0, {3, kStreamSimulatedAnswer},
                                     trial * kDrawsPerAnswer)
                                   .value);
    }
    CHECK(once == again);
    CHECK(std::set<int>(once.begin(), once.end()).size() == 4);
}
