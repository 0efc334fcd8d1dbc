#include "runner/rehearsal/rehearsal_summary.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "support/seats/mixed_protocol.h"
#include "support/tolerances.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

// Three sessions of the mixed protocol, counted by hand: conditions grey, pinkish, L, M, seen.
std::vector<SessionTally::Sums> three_sessions() {
    std::vector<SessionTally::Sums> sessions(3);
    for (std::size_t i = 0; i < 3; ++i) {
        SessionTally::Sums& sums = sessions[i];
        sums.finished = i != 2;
        sums.duration_s = 60.0 * static_cast<double>(i + 1);
        sums.settings.resize(5);
        // About a mean of 1, 2 and 3 %, one per cent on either side.
        for (const double from_mean : {-0.01, 0.0, 0.01})
            sums.settings[0].add(Eigen::Vector3d::Constant(0.01 * static_cast<double>(i + 1) + from_mean));
        sums.settings[0].moved_starts = 1;
        sums.settings[0].refused_steps = 2;
        sums.settings[1].timed_out = i == 0 ? 3 : 0;
        sums.runs.push_back({.condition = 2, .trials = 20, .log10_ratio = 0.1 * static_cast<double>(i)});
        sums.runs.push_back({.condition = 3, .trials = 4, .log10_ratio = {}, .practice_failed = true});
    }
    return sessions;
}

}  // namespace

TEST_CASE("bias, spread and durations are those of hand calculation") {
    const RehearsalSummary summary = summarise(mixed_setup().protocol(), three_sessions());
    CHECK(summary.sessions == 3);
    CHECK(summary.left == 1);
    CHECK(summary.mean_duration_s == Approx(120.0).epsilon(test::kRoundingOfDoubles));
    CHECK(summary.shortest_duration_s == 60.0);
    CHECK(summary.longest_duration_s == 180.0);
    REQUIRE(summary.conditions.size() == 2);
    const RehearsalSummary::Condition& grey = summary.conditions[0];
    CHECK(grey.settings == 9);
    CHECK(grey.moved_starts == 3);
    CHECK(grey.refused_steps == 6);
    for (std::size_t cone = 0; cone < 3; ++cone) {
        // Observers' means 1, 2, 3 %: mean 2 %, its error 1 % / sqrt(3). Within each observer the SD is 1 %,
        // with 6 degrees of freedom; of the mean of 3 settings 1 % / sqrt(3).
        CHECK(grey.bias[cone].value == Approx(0.02).epsilon(test::kRoundingOfDoubles));
        CHECK(*grey.bias[cone].standard_error ==
              Approx(0.01 / std::sqrt(3.0)).epsilon(test::kRoundingOfDoubles));
        CHECK((*grey.sd)[cone].value == Approx(0.01).epsilon(test::kRoundingOfDoubles));
        CHECK(*(*grey.sd)[cone].standard_error ==
              Approx(0.01 / std::sqrt(12.0)).epsilon(test::kRoundingOfDoubles));
        CHECK((*grey.precision)[cone] == Approx(0.01 / std::sqrt(3.0)).epsilon(test::kRoundingOfDoubles));
    }
    CHECK(summary.conditions[1].settings == 0);
    CHECK(summary.conditions[1].timed_out == 3);
    CHECK_FALSE(summary.conditions[1].sd);
    REQUIRE(summary.tasks.size() == 3);
    CHECK(summary.tasks[0].bias_log10->value == Approx(0.1).epsilon(test::kRoundingOfDoubles));
    CHECK(*summary.tasks[0].bias_log10->standard_error ==
          Approx(0.1 / std::sqrt(3.0)).epsilon(test::kRoundingOfDoubles));
    CHECK(summary.tasks[0].sd_log10->value == Approx(0.1).epsilon(test::kRoundingOfDoubles));
    CHECK(summary.tasks[0].mean_trials == Approx(20.0).epsilon(test::kRoundingOfDoubles));
    CHECK(summary.tasks[1].practice_failed == 3);
    CHECK_FALSE(summary.tasks[1].bias_log10);
    CHECK(summary.tasks[2].runs == 0);
}

TEST_CASE("the summary says in words what it found") {
    const std::string text = rehearsal_summary_text(summarise(mixed_setup().protocol(), three_sessions()));
    CHECK_THAT(text, Catch::Contains("3 sessions: 2.0 min on average, 90 % of them 1.0 min to 3.0 min; the "
                                     "protocol expects"));
    CHECK_THAT(text, Catch::Contains("1 sessions were left before the end"));
    CHECK_THAT(text, Catch::Contains("grey: 9 settings, 3 starting points out of gamut and moved, 6 steps "
                                     "refused at the gamut's border\n  L  bias +2.000 +- 0.577 %, SD 1.000 "
                                     "+- 0.289 %, precision of an observer's mean 0.577 %"));
    CHECK_THAT(text, Catch::Contains("pinkish: 0 settings, 3 out of time"));
    CHECK_THAT(text, Catch::Contains("L: 3 runs, 20.0 trials each; threshold from the truth: bias +0.100 +- "
                                     "0.058 log10 units, SD 0.100 +- 0.050"));
    CHECK_THAT(text, Catch::Contains("M: 3 runs, 4.0 trials each, 3 not measured since practice failed; no "
                                     "estimate"));
    const nlohmann::json json = to_json(summarise(mixed_setup().protocol(), three_sessions()));
    CHECK(json["conditions"][0]["bias_contrast"][2]["value"].get<double>() ==
          Approx(0.02).epsilon(test::kRoundingOfDoubles));
    CHECK(json["conditions"][1]["sd_contrast"].is_null());
    CHECK(json["tasks"][1]["bias_log10"].is_null());
}

TEST_CASE("one observer's settings have the standard error that their own spread gives") {
    std::vector<SessionTally::Sums> one = three_sessions();
    one.resize(1);
    const RehearsalSummary summary = summarise(mixed_setup().protocol(), one);
    CHECK(*summary.conditions[0].bias[0].standard_error ==
          Approx(0.01 / std::sqrt(3.0)).epsilon(test::kRoundingOfDoubles));
    CHECK_FALSE(summary.tasks[0].bias_log10->standard_error);
    CHECK_FALSE(summary.tasks[0].sd_log10);
}
