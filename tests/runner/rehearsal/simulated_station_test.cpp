#include "runner/rehearsal/simulated_station.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <set>

#include "support/sixty_settings.h"
#include "support/tolerances.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

// Grey in both places of a field, or a light of this much more L contrast in the second.
ExpectAnswer question(const Setup& setup, AnswerForm form, double l_contrast) {
    AdjustmentProblem problem = setup.adjustment(0, 8);
    problem.axes = {{"L", Eigen::Vector3d(1.0, 0.0, 0.0), 0.01, 0.01, 0.0}};
    const LinearDrive reference = setup.reference(0);
    const LinearDrive target = stimulus_at(problem, Eigen::VectorXd::Constant(1, l_contrast)).linear;
    ExpectAnswer expected{.form = form, .categories = 4};
    expected.comparison = Comparison{reference, {target}, {0}, 0};
    if (form == AnswerForm::place)
        expected.comparison = Comparison{reference, {reference, target}, {0, 0}, 0};
    return expected;
}

// How a station answers the same question, again and again.
std::vector<TrialResponse> answers(SimulatedStation& station, const Expected& expected, int count) {
    std::vector<TrialResponse> all;
    while (static_cast<int>(all.size()) < count) {
        station.expect(expected);
        const Action action = station.wait(0.5);
        if (const auto* const answered = std::get_if<Answered>(&action))
            all.push_back(answered->response);
    }
    return all;
}

std::ptrdiff_t count_of(const std::vector<TrialResponse>& all, TrialResponse::Kind kind) {
    return std::count_if(all.begin(), all.end(), [&](const auto& answer) { return answer.kind == kind; });
}

}  // namespace

TEST_CASE("a simulated observer answers when it is asked, and never within the wait before") {
    const Setup setup = sixty_settings();
    SimulatedStation station(setup, 5, 1, {}, DitherKind::ordered);
    station.expect(ExpectNothing{});
    station.show_adaptation(1.0);
    for (int i = 0; i < 100; ++i)
        CHECK(std::holds_alternative<NoAction>(station.wait(0.1)));
    CHECK(station.now_s() == Approx(10.0).epsilon(test::kRoundingOfDoubles));
    // A page is read for eight seconds, however short the waits are.
    station.expect(ExpectGoOn{});
    station.show_page({"Read this", {}, ""});
    while (!std::holds_alternative<Accepted>(station.wait(0.3)))
        REQUIRE(station.now_s() < 18.0);
    CHECK(station.now_s() == Approx(18.0).epsilon(test::kFiveDigits));
    // An answer takes its time, and is drawn anew for each.
    std::vector<double> times;
    const Expected expected = question(setup, AnswerForm::yes_no, 0.1);
    for (int i = 0; i < 400; ++i) {
        const double from_s = station.now_s();
        answers(station, expected, 1);
        times.push_back(station.now_s() - from_s);
    }
    std::sort(times.begin(), times.end());
    CHECK(times.front() > 0.25);
    CHECK(times[200] == Approx(0.70).margin(0.1));
    CHECK(times.back() > 1.0);
}

TEST_CASE("a plain difference is seen, none is mostly not, and answers take the form that is asked for") {
    const Setup setup = sixty_settings();
    SimulatedStation station(setup, 5, 1, {}, DitherKind::ordered);
    constexpr int kTimes = 200;
    using Kind = TrialResponse::Kind;
    CHECK(count_of(answers(station, question(setup, AnswerForm::yes_no, 0.1), kTimes), Kind::yes) == kTimes);
    CHECK(count_of(answers(station, question(setup, AnswerForm::yes_no, 0.0), kTimes), Kind::yes) <
          kTimes / 3);
    CHECK(count_of(answers(station, question(setup, AnswerForm::same_different, 0.1), kTimes),
                   Kind::different) == kTimes);
    for (const TrialResponse& answer : answers(station, question(setup, AnswerForm::place, 0.1), kTimes)) {
        CHECK(answer.kind == Kind::place);
        CHECK(answer.value == 1);
    }
    for (const TrialResponse& answer : answers(station, question(setup, AnswerForm::rating, 0.1), kTimes)) {
        CHECK(answer.kind == Kind::rating);
        CHECK(answer.value == 4);
    }
}

TEST_CASE("lapses are answers at random, and drift moves the criterion with time") {
    const Setup setup = sixty_settings();
    SimulatedStation lapsing(setup, 5, 1, {.lapses = 1.0}, DitherKind::ordered);
    const auto yes =
        count_of(answers(lapsing, question(setup, AnswerForm::yes_no, 0.1), 400), TrialResponse::Kind::yes);
    CHECK(yes > 150);
    CHECK(yes < 250);  // five standard errors: one false alarm in 1.7 million

    // Some observers drift up, others down; each by the same amount.
    std::set<double> moved;
    for (std::uint64_t index = 1; index <= 10; ++index) {
        SimulatedStation drifting(setup, 5, index, {.drift_per_hour = 1.0}, DitherKind::ordered);
        const double before = drifting.judge_traits(setup.reference(0), 0).criterion;
        drifting.expect(ExpectNothing{});
        drifting.wait(1800.0);
        moved.insert(std::round(1e6 * (drifting.judge_traits(setup.reference(0), 0).criterion - before)));
    }
    CHECK(moved == std::set<double>{-500'000.0, 500'000.0});
}

TEST_CASE("questions get the first of the choices, or a number within its range") {
    const Setup setup = sixty_settings();
    const auto typed = [&](const Expected& expected) {
        SimulatedStation station(setup, 5, 1, {}, DitherKind::ordered);
        station.expect(expected);
        station.show_page({"How many?", {}, ""});
        std::string text;
        for (;;) {
            const Action action = station.wait(0.5);
            if (std::holds_alternative<Accepted>(action))
                return text;
            if (const auto* const key = std::get_if<Typed>(&action))
                text += key->character;
        }
    };
    CHECK(typed(ExpectChoice{.choices = 3}) == "1");
    CHECK(typed(ExpectNumber{.lowest = 0.0, .highest = 25.0}) == "12");
    CHECK(typed(ExpectNumber{.lowest = 0.2, .highest = 0.6}) == "0.4");
    CHECK(typed(ExpectNumber{.lowest = -7.0, .highest = -5.0}) == "-6");
}
