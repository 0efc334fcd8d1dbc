// Settings of one session resemble each other: what intervals, tests and trends of matches make of it, over
// simulated studies whose truth is known.
#include <fmt/format.h>

#include <catch2/catch.hpp>
#include <functional>

#include "analysis/summaries/axis_trends.h"
#include "analysis/summaries/condition_summary.h"
#include "analysis/summaries/text_layout.h"
#include "support/example_session.h"
#include "support/seeded_sets.h"

using namespace isoseam;
using Catch::Matchers::Contains;

namespace {

const std::vector<std::string> kSessionNames{"S1", "S2", "S3", "S4", "S5", "S6"};

// The settings of one participant; `value` gives the setting along both axes.
KeptCondition settings_of(int sessions, int settings, const std::function<double(int, int)>& value) {
    SettingRecord record = test::example_setting(1, "grey");
    KeptCondition condition(record);
    for (int session = 0; session < sessions; ++session) {
        for (int trial = 1; trial <= settings; ++trial) {
            for (double& along_axis : record.setting)
                along_axis = value(session, trial);
            KeptSetting kept;
            kept.session = session;
            kept.trial = trial;
            kept.contrast = {value(session, trial), value(session, trial), value(session, trial)};
            condition.add(record, kept);
        }
    }
    return condition;
}

// A session's own offset has the SD of a setting, 1.
KeptCondition drawn(test::Draws& draws, int sessions, int settings, double own_mean) {
    std::vector<double> offsets;
    for (int session = 0; session < sessions; ++session)
        offsets.push_back(own_mean + draws.normal());
    return settings_of(sessions, settings, [&](int session, int) {
        return offsets[static_cast<std::size_t>(session)] + draws.normal();
    });
}

bool rejects_in_5_percent(int rejected) {
    return rejected >= 30 && rejected <= 70;  // 3 to 7 % of 1,000
}

ConditionSummary own_summary(const KeptCondition& condition) {
    return participant_summary("P01", condition, kSessionNames, false);
}

}  // namespace

TEST_CASE("the interval of one participant's mean holds the truth over sessions that differ") {
    test::Draws draws(301);
    int held_along_axis = 0;
    int held_of_contrast = 0;
    for (int set = 0; set < test::kSets; ++set) {
        const ConditionSummary row = own_summary(drawn(draws, 3, 6, 0.0));
        REQUIRE(row.unit == RepetitionUnit::session);
        held_along_axis += row.setting[0].interval_95->holds(0.0) ? 1 : 0;
        held_of_contrast += row.contrast[0].interval_95->holds(0.0) ? 1 : 0;
    }
    CHECK(test::covers(held_along_axis));
    CHECK(test::covers(held_of_contrast));
}

TEST_CASE("Hotelling's test rejects in 5 of 100 sets without an effect where sessions differ") {
    test::Draws draws(302);
    int rejected = 0;
    for (int set = 0; set < test::kSets; ++set)
        rejected += own_summary(drawn(draws, 6, 5, 0.0)).axes_from_predicted->p < 0.05 ? 1 : 0;
    CHECK(rejects_in_5_percent(rejected));
}

TEST_CASE("the interval of the mean of 12 participants holds the truth") {
    test::Draws draws(303);
    int held = 0;
    for (int set = 0; set < test::kSets; ++set) {
        std::vector<KeptCondition> people;
        for (int participant = 0; participant < 12; ++participant)
            people.push_back(drawn(draws, 2, 4, draws.normal()));
        std::vector<const KeptCondition*> all;
        for (const KeptCondition& condition : people)
            all.push_back(&condition);
        const ConditionSummary row = pooled_summary(all);
        REQUIRE(row.unit == RepetitionUnit::participant);
        REQUIRE(row.units == 12);
        held += row.setting[0].interval_95->holds(0.0) ? 1 : 0;
    }
    CHECK(test::covers(held));
}

TEST_CASE("participants who drift to either side make no drift of all") {
    test::Draws draws(304);
    int told = 0;
    for (int set = 0; set < test::kSets; ++set) {
        std::vector<KeptCondition> people;
        for (int participant = 0; participant < 10; ++participant) {
            const double own_slope = 0.1 * draws.normal();
            people.push_back(
                settings_of(1, 20, [&](int, int trial) { return own_slope * trial + draws.normal(); }));
        }
        std::vector<std::vector<const KeptCondition*>> all;
        for (const KeptCondition& condition : people)
            all.push_back({&condition});
        const std::vector<AxisTrend> trends = axis_trends(all);
        REQUIRE(trends.front().drift->degrees == 9.0);
        told += trends.front().drift->p < 0.05 ? 1 : 0;
    }
    CHECK(rejects_in_5_percent(told));
}

TEST_CASE("settings that resemble the one before are told by the test of serial correlation") {
    test::Draws draws(305);
    double last = 0.0;
    const ConditionSummary alike = own_summary(settings_of(2, 40, [&](int, int) {
        last = 0.9 * last + draws.normal() / 4.0;  // three more draws for the contrasts lie between settings
        return last;
    }));
    REQUIRE(alike.serial[0]);
    CHECK(alike.serial[0]->sessions == 2);
    CHECK(alike.serial[0]->settings == 80);
    CHECK(alike.serial[0]->lag_one > 0.3);
    CHECK(alike.serial[0]->p < 0.001);
}

namespace {

SessionFolder session_of(const std::string& participant, int day, int settings) {
    SessionFolder folder;
    folder.folder = fmt::format("out/{}-{}", participant, day);
    folder.state = SessionState::complete;
    folder.header_ok = true;
    folder.header = test::example_header();
    folder.header.participant = participant;
    folder.header.session = fmt::format("{}-2026112{}T160312Z", participant, day);
    test::Draws draws(static_cast<std::uint64_t>(day));
    for (int trial = 1; trial <= settings; ++trial) {
        SettingRecord setting = test::example_setting(trial, "grey");
        for (double& along_axis : setting.setting)
            along_axis = 0.01 * draws.normal();
        folder.settings.push_back(setting);
    }
    return folder;
}

// In one line, so that words are found wherever lines break.
std::string text_of(const std::vector<SessionFolder>& folders) {
    std::string text = match_summary_text(summarise_matches(folders));
    for (std::size_t at = text.find('\n'); at != std::string::npos; at = text.find('\n', at))
        text.replace(at, text.find_first_not_of(" \n", at) - at, " ");
    return text;
}

}  // namespace

TEST_CASE("the text says which unit a mean rests on, and that one session is of this session only") {
    const std::string one = text_of({session_of("P01", 1, 6)});
    CHECK_THAT(one,
               Contains("The unit of the mean is the setting. There is one session, so intervals, ellipses "
                        "and tests of the mean are of this session only: person and day cannot be told "
                        "apart."));
    CHECK_THAT(one, Contains("Serial correlation within sessions"));
    const std::string two = text_of({session_of("P01", 1, 6), session_of("P01", 2, 6)});
    CHECK_THAT(two, Contains("The unit of the mean is the session (2 of them).") &&
                        !Contains("person and day cannot be told apart"));
    const std::string people = text_of({session_of("P01", 1, 6), session_of("P02", 2, 6)});
    CHECK_THAT(people, Contains("The unit of the mean is the participant (2 of them).") &&
                           Contains("Each made one session, so person and day cannot be told apart."));
}
