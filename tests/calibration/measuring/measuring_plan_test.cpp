#include "calibration/measuring/measuring_plan.h"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <map>
#include <set>

#include "support/error_text.h"
#include "support/tolerances.h"

using namespace isoseam;
using Catch::Contains;

namespace {

PlanOptions options_of(PlanKind kind, int bits = 8, std::vector<std::string> primaries = {"r", "g", "b"}) {
    PlanOptions options;
    options.kind = kind;
    options.bits = bits;
    options.primaries = std::move(primaries);
    return options;
}

std::vector<PlanStep> steps_of(const MeasuringPlan& plan, Purpose purpose) {
    std::vector<PlanStep> steps;
    std::copy_if(plan.steps.begin(), plan.steps.end(), std::back_inserter(steps),
                 [&](const PlanStep& step) { return step.purpose == purpose; });
    return steps;
}

bool on_screen(const PatchPlace& place) {
    return place.x - place.width / 2 >= -1e-12 && place.x + place.width / 2 <= 1 + 1e-12 &&
           place.y - place.height / 2 >= -1e-12 && place.y + place.height / 2 <= 1 + 1e-12 &&
           place.width > 0 && place.height > 0;
}

std::vector<double> list_of(const Drive& drive) {
    return {drive.fractions.begin(), drive.fractions.end()};
}

}  // namespace

TEST_CASE("whatever the plan, bits and primaries: ids differ, drives are codes, patches lie on the screen") {
    for (const PlanKind kind : {PlanKind::quick, PlanKind::full, PlanKind::drift}) {
        for (const int bits : {8, 10}) {
            for (const int primaries : {3, 4, 6, 16}) {
                std::vector<std::string> names;
                for (int i = 1; i <= primaries; ++i)
                    names.push_back("p" + std::to_string(i));
                const MeasuringPlan plan = make_plan(options_of(kind, bits, names));
                std::set<std::string> ids{plan.watch.id};
                for (const PlanStep& step : plan.steps) {
                    INFO(step.id);
                    CHECK(ids.insert(step.id).second);
                    CHECK(on_screen(step.place));
                    REQUIRE(step.drive.fractions.size() == primaries);
                    const Eigen::ArrayXd codes = step.drive.fractions.array() * ((1 << bits) - 1);
                    CHECK((codes - codes.round()).abs().maxCoeff() < 1e-9);
                    CHECK(step.repeats >= 1);
                }
            }
        }
    }
}

TEST_CASE("ramps begin at the first codes, end at full, and are denser near black") {
    for (const int bits : {8, 10}) {
        const MeasuringPlan plan = make_plan(options_of(PlanKind::full, bits));
        for (int primary = 0; primary < 3; ++primary) {
            std::vector<double> drives{0.0};
            for (const PlanStep& step : steps_of(plan, Purpose::ramp)) {
                if (step.drive.fractions[primary] > 0.0) {
                    CHECK(step.drive.fractions.sum() == step.drive.fractions[primary]);
                    drives.push_back(step.drive.fractions[primary]);
                }
            }
            std::sort(drives.begin(), drives.end());
            REQUIRE(drives.size() == 18);
            CHECK(drives.back() == 1.0);
            CHECK(drives[1] < 0.02);
            for (std::size_t i = 2; i < drives.size(); ++i)  // gaps grow, but for rounding to codes
                CHECK(drives[i] - drives[i - 1] >= drives[i - 1] - drives[i - 2] - 1.01 / ((1 << bits) - 1));
        }
    }
}

TEST_CASE("a full plan holds what a calibration needs, in an order that drift cannot take for a curve") {
    const MeasuringPlan plan = make_plan(options_of(PlanKind::full));
    CHECK(plan.steps[0].id == "drift.1");
    CHECK(plan.steps[1].id == "black.before");
    CHECK(steps_of(plan, Purpose::black).size() == 2);
    CHECK(steps_of(plan, Purpose::mixture).size() == 12);
    CHECK(steps_of(plan, Purpose::verification).size() == 24);
    CHECK(steps_of(plan, Purpose::uniformity).size() == 5);
    CHECK(steps_of(plan, Purpose::patch_size).size() == 6);
    CHECK(plan.warm_up.watch);
    // The instrument is moved at the end, once everything else is read.
    CHECK(plan.steps.back().purpose == Purpose::uniformity);
    // Shuffled: drives of the ramp of one primary do not rise from step to step.
    int rising = 0;
    double last = 0.0;
    const std::vector<PlanStep> ramp = steps_of(plan, Purpose::ramp);
    for (const PlanStep& step : ramp) {
        rising += step.drive.fractions.maxCoeff() > last ? 1 : 0;
        last = step.drive.fractions.maxCoeff();
    }
    CHECK(rising < static_cast<int>(ramp.size()) * 3 / 4);
    // Never more than some twenty readings without looking at white.
    int since_white = 0;
    for (const PlanStep& step : plan.steps) {
        since_white = step.drive.fractions.minCoeff() == 1.0 ? 0 : since_white + step.repeats;
        CHECK(since_white <= 24);
    }
}

TEST_CASE("verification colours are drawn from the seed and were never read for the fit") {
    const MeasuringPlan plan = make_plan(options_of(PlanKind::full));
    PlanOptions other = options_of(PlanKind::full);
    other.seed = 2;
    CHECK(plan_text(plan) == plan_text(make_plan(options_of(PlanKind::full))));
    CHECK(plan_text(plan) != plan_text(make_plan(other)));
    std::set<std::vector<double>> fitted;
    for (const PlanStep& step : plan.steps) {
        if (step.purpose != Purpose::verification)
            fitted.insert(list_of(step.drive));
    }
    std::set<std::vector<double>> verified;
    for (const PlanStep& step : steps_of(plan, Purpose::verification)) {
        CHECK(fitted.count(list_of(step.drive)) == 0);
        CHECK(verified.insert(list_of(step.drive)).second);
    }
}

TEST_CASE("places and sizes are as many as asked for") {
    PlanOptions options = options_of(PlanKind::full);
    options.places = 9;
    options.patch_sizes = false;
    const MeasuringPlan plan = make_plan(options);
    const std::vector<PlanStep> places = steps_of(plan, Purpose::uniformity);
    REQUIRE(places.size() == 9);
    CHECK(places.front().id == "place.top.left");
    CHECK(places.front().place.x == Approx(1.0 / 6.0).epsilon(test::kRoundingOfDoubles));
    CHECK(places.back().place.y == Approx(5.0 / 6.0).epsilon(test::kRoundingOfDoubles));
    CHECK(steps_of(plan, Purpose::patch_size).empty());
    options.places = 0;
    CHECK(steps_of(make_plan(options), Purpose::uniformity).empty());
    // A patch near a corner: larger ones still hold the place where the instrument looks.
    options = options_of(PlanKind::full);
    options.patch = {0.1, 0.9, 0.1, 0.1};
    for (const PlanStep& step : steps_of(make_plan(options), Purpose::patch_size)) {
        CHECK(std::abs(step.place.x - 0.1) <= step.place.width / 2 + 1e-12);
        CHECK(std::abs(step.place.y - 0.9) <= step.place.height / 2 + 1e-12);
    }
}

TEST_CASE("a drift plan reads white twice a minute for as long as it was told") {
    PlanOptions options = options_of(PlanKind::drift);
    options.duration_s = 1200.0;
    const MeasuringPlan plan = make_plan(options);
    CHECK_FALSE(plan.warm_up.watch);
    const std::vector<PlanStep> whites = steps_of(plan, Purpose::drift_check);
    REQUIRE(whites.size() == 41);
    CHECK(whites.back().earliest_s == 1200.0);
    CHECK(steps_of(plan, Purpose::black).size() == 3);
    // As in the other plans: white shows how large the light is before black is judged.
    CHECK(plan.steps[0].id == "drift.1");
    CHECK(plan.steps[1].id == "black.1");
    CHECK(planned_time(plan, 5.0).shortest_s >= 1200.0);
}

TEST_CASE("a plan in words tells what it reads, why, and how long it takes") {
    const MeasuringPlan plan = make_plan(options_of(PlanKind::full));
    const std::string words = plan_words(plan, 5.0);
    for (const char* part :
         {"Plan 'full', 8 bits, seed 1\n",
          "patch: 32 % x 32 % of the screen, centre at 50 %, 50 %; the rest at drive 0",
          "warm-up: white every 20 s until it drifts by less than 0.1 % a minute over 5 min; at most 60 min",
          "each primary alone, denser near black", "random colours that the fit will not see",
          "with the shortest warm-up"})
        CHECK_THAT(words, Contains(part));
    const PlannedTime time = planned_time(plan, 5.0);
    CHECK(time.shortest_s ==
          Approx(300.0 + 5.0 * planned_readings(plan) + 0.5 * static_cast<double>(plan.steps.size()))
              .epsilon(test::kRoundingOfDoubles));
    CHECK(time.longest_s == Approx(time.shortest_s + 3300.0).epsilon(test::kRoundingOfDoubles));
    CHECK(planned_readings(make_plan(options_of(PlanKind::quick))) < 70);
}

TEST_CASE("options that make no plan are refused, all at once") {
    PlanOptions options = options_of(PlanKind::full, 9, {"r", "g"});
    options.patch = {0.9, 0.5, 0.3, 0.3};
    options.repeats = 0;
    options.places = 6;
    options.surround.fractions = Eigen::Vector3d(0.5, 0.5, 1.5);
    options.duration_s = std::nan("");
    options.settled_per_min = 0.0;
    const std::string faults = test::input_error_text([&] { make_plan(options); });
    for (const char* words : {"primaries: 2 primaries; a screen has 3 to 16", "--bits: 9 bits",
                              "--patch: a patch 0.3 wide and 0.3 high at "
                              "(0.9, 0.5) does not lie on the screen",
                              "--repeats: 0 readings a step", "--places: 6 places; write 0, 5 or 9",
                              "--surround: is not one drive of 0 to 1 for each primary", "--duration: nan s",
                              "--settled: 0 % per minute"})
        CHECK_THAT(faults, Contains(words));
    CHECK_THAT(test::input_error_text([] { parse_plan_kind("long", "--plan"); }),
               Contains("--plan: there is no plan 'long'; write one of: quick, full, drift"));
}
