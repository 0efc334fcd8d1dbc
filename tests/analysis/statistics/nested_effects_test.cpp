// The figures of R, by lme4 and lmerTest, are those of nested_effects.R beside this file. Its versions stand
// in nested_effects_figures.csv.
#include "analysis/statistics/nested_effects.h"

#include <algorithm>
#include <array>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>

#include "analysis/statistics/estimate.h"
#include "analysis/statistics/mean_slope.h"
#include "nested_figures.h"
#include "support/seeded_sets.h"
#include "support/temporary_folder.h"
#include "support/tolerances.h"

using namespace isoseam;

namespace {

// Both searches end where the likelihood is flat to the last digits of a double, which leaves this much.
constexpr double kOfTwoSearches = 1e-6;
// lmerTest takes the curvature of the likelihood from differences.
constexpr double kOfNumericalCurvature = 1e-3;

NestedSettings settings_of(const std::vector<test::NestedRow>& rows, bool with_x) {
    NestedSettings settings(with_x ? 1 : 0);
    for (const test::NestedRow& row : rows) {
        const std::vector<double> covariates(with_x ? 1 : 0, row.x);
        settings.add(row.participant, row.session, row.y, covariates);
    }
    return settings;
}

// Groups are sessions.
std::vector<ParticipantGroups> groups_of(const std::vector<test::NestedRow>& rows) {
    std::map<int, std::map<int, std::vector<SlopePoint>>> by_session;
    for (const test::NestedRow& row : rows)
        by_session[row.participant][row.session].push_back({row.x, row.y});
    std::vector<ParticipantGroups> participants;
    for (const auto& [participant, sessions] : by_session) {
        participants.emplace_back();
        for (const auto& [session, points] : sessions)
            participants.back().push_back(points);
    }
    return participants;
}

void check_variance(const std::map<std::string, double>& figures, const std::string& of,
                    const std::optional<double>& variance) {
    const auto found = figures.find("variance of " + of);
    INFO("variance of " << of);
    REQUIRE(variance.has_value() == (found != figures.end()));
    if (variance && found->second == 0.0)
        CHECK(*variance == 0.0);
    else if (variance)
        CHECK(*variance == Approx(found->second).epsilon(kOfTwoSearches));
}

void check_effect(const std::map<std::string, double>& figures, const std::string& name,
                  const FixedEffect& effect) {
    INFO(name);
    // An estimate near 0 is held to its standard error.
    const double standard_error = figures.at("standard error of " + name);
    CHECK(effect.value == Approx(figures.at(name)).epsilon(kOfTwoSearches).margin(1e-6 * standard_error));
    CHECK(effect.standard_error == Approx(standard_error).epsilon(kOfTwoSearches));
    CHECK(effect.degrees == Approx(figures.at("degrees of " + name)).epsilon(kOfNumericalCurvature));
    if (const auto p = figures.find("p of " + name); p != figures.end())
        CHECK(effect.p == Approx(p->second).epsilon(kOfNumericalCurvature));
}

// Gives the number of sets that were held.
int check_all(const test::NestedFigures& figures) {
    int sets = 0;
    for (const auto& [name, rows] : test::nested_data()) {
        INFO(name);
        const std::map<std::string, double>& of_set = figures.at(name);
        ++sets;
        if (name.starts_with("drifts")) {
            const std::optional<VaryingSlope> slope = varying_slope(groups_of(rows));
            REQUIRE(slope);
            check_effect(of_set, "slope", slope->mean);
            check_variance(of_set, "participant", slope->slope_variance);
            check_variance(of_set, "setting", slope->setting_variance);
            continue;
        }
        const bool with_x = name.starts_with("drift");
        const std::optional<NestedFit> fit = fit_nested(settings_of(rows, with_x));
        REQUIRE(fit);
        CHECK(fit->settings == rows.size());
        CHECK(fit->criterion == Approx(of_set.at("criterion")).epsilon(kOfTwoSearches));
        check_variance(of_set, "participant", fit->participant_variance);
        check_variance(of_set, "session", fit->session_variance);
        check_variance(of_set, "setting", fit->setting_variance);
        check_effect(of_set, "mean", fit->mean);
        if (with_x)
            check_effect(of_set, "slope", fit->slopes.at(0));
        if (name == "drift")
            check_effect(of_set, "mean at 10", weighted_sum(*fit, 1.0, std::array{10.0}));
    }
    return sets;
}

}  // namespace

TEST_CASE("estimates and degrees of freedom are those of lme4 and lmerTest") {
    CHECK(check_all(test::nested_figures(test::nested_file("nested_effects_figures.csv"))) == 13);
}

TEST_CASE("they are so in R as it is installed here") {
    if (std::system("Rscript -e 'library(lmerTest)' > /dev/null 2>&1") != 0) {
        WARN("there is no Rscript with lmerTest here: only the stored figures were compared");
        return;
    }
    const test::TemporaryFolder folder;
    const std::string command = "Rscript " + test::nested_file("nested_effects.R") + " figures " +
                                test::nested_file("nested_effects_data.csv") + " " +
                                folder.file("figures.csv") + " > /dev/null 2>&1";
    REQUIRE(std::system(command.c_str()) == 0);
    CHECK(check_all(test::nested_figures(folder.file("figures.csv"))) == 13);
}

TEST_CASE("where all numbers are equal, the mean is that of participants, and Student's t is exact") {
    const std::vector<test::NestedRow> rows = test::nested_data().at("balanced");
    const std::optional<NestedFit> fit = fit_nested(settings_of(rows, false));
    REQUIRE(fit);
    REQUIRE(*fit->session_variance > 0.0);
    REQUIRE(*fit->participant_variance > 0.0);
    std::map<int, std::vector<double>> own;
    for (const test::NestedRow& row : rows)
        own[row.participant].push_back(row.y);
    std::vector<double> means;
    for (const auto& [participant, values] : own)
        means.push_back(estimate(values).mean);
    const Estimate exact = estimate(means);
    CHECK(fit->mean.value == Approx(exact.mean).epsilon(test::kRoundingOfDoubles));
    CHECK(fit->mean.degrees == Approx(5.0).epsilon(test::kRoundingOfDoubles));
    CHECK(fit->mean.interval_95.low == Approx(exact.interval_95->low).epsilon(test::kRoundingOfDoubles));
    CHECK(fit->mean.interval_95.high == Approx(exact.interval_95->high).epsilon(test::kRoundingOfDoubles));
}

TEST_CASE("the order of settings and another origin change nothing but the mean") {
    std::vector<test::NestedRow> rows = test::nested_data().at("drift");
    const std::optional<NestedFit> fit = fit_nested(settings_of(rows, true));
    std::reverse(rows.begin(), rows.end());
    for (test::NestedRow& row : rows) {
        row.participant = 40 - row.participant;
        row.y += 5e4;
        row.x -= 1e3;
    }
    const std::optional<NestedFit> other = fit_nested(settings_of(rows, true));
    REQUIRE(fit);
    REQUIRE(other);
    // Values of 5e4 in doubles leave 11 digits behind the point.
    constexpr double kOfLargeValues = 1e-8;
    CHECK(other->slopes[0].value == Approx(fit->slopes[0].value).epsilon(kOfLargeValues));
    CHECK(other->slopes[0].degrees == Approx(fit->slopes[0].degrees).epsilon(kOfLargeValues));
    CHECK(*other->session_variance == Approx(*fit->session_variance).epsilon(kOfLargeValues));
    const FixedEffect there = weighted_sum(*other, 1.0, std::array{-1e3});
    CHECK(there.value - 5e4 == Approx(fit->mean.value).epsilon(1e-6));
    CHECK(there.standard_error == Approx(fit->mean.standard_error).epsilon(kOfLargeValues));
}

TEST_CASE("what cannot be told apart has no variance of its own") {
    test::Draws draws(81);
    NestedSettings one_session;
    NestedSettings one_session_each;
    NestedSettings one_setting_each;
    NestedSettings single;
    for (int i = 0; i < 24; ++i) {
        const double y = draws.normal();
        one_session.add(0, 0, y);
        one_session_each.add(i % 4, i % 4, y);
        one_setting_each.add(i % 4, i, y);
        single.add(i, 0, y);
    }
    const std::optional<NestedFit> first = fit_nested(one_session);
    REQUIRE(first);
    CHECK_FALSE(first->session_variance.has_value());
    CHECK_FALSE(first->participant_variance.has_value());
    CHECK(first->mean.degrees == Approx(23.0).epsilon(test::kRoundingOfDoubles));
    const std::optional<NestedFit> second = fit_nested(one_session_each);
    REQUIRE(second);
    CHECK_FALSE(second->session_variance.has_value());
    CHECK(second->participant_variance.has_value());
    const std::optional<NestedFit> third = fit_nested(one_setting_each);
    REQUIRE(third);
    CHECK_FALSE(third->session_variance.has_value());
    CHECK(third->participant_variance.has_value());
    CHECK(third->setting_variance == Approx(second->setting_variance).epsilon(test::kRoundingOfDoubles));
    CHECK_FALSE(fit_nested(single).has_value());
}

TEST_CASE("settings without scatter and covariates that do not vary have no fit") {
    CHECK_FALSE(fit_nested(NestedSettings()).has_value());
    NestedSettings equal;
    NestedSettings equal_within;
    NestedSettings same_x(1);
    NestedSettings twice_the_same(2);
    test::Draws draws(82);
    for (int i = 0; i < 12; ++i) {
        const double y = draws.normal();
        const double x = draws.normal();
        equal.add(0, i % 3, 0.1);
        equal_within.add(0, i % 3, 0.1 * (i % 3));
        same_x.add(0, i % 3, y, std::array{0.1});
        twice_the_same.add(0, i % 3, y, std::array{x, 2.0 * x - 3.0});
    }
    CHECK_FALSE(fit_nested(equal).has_value());
    CHECK_FALSE(fit_nested(equal_within).has_value());
    CHECK_FALSE(fit_nested(same_x).has_value());
    CHECK_FALSE(fit_nested(twice_the_same).has_value());
}

TEST_CASE("a variance far above, or far below, that of settings is found") {
    for (const double session_sd : {1e-4, 1e4}) {
        test::Draws draws(83);
        NestedSettings settings;
        for (int session = 0; session < 200; ++session) {
            const double day = session_sd * draws.normal();
            for (int i = 0; i < 5 + session % 4; ++i)
                settings.add(0, session, day + draws.normal());
        }
        const std::optional<NestedFit> fit = fit_nested(settings);
        REQUIRE(fit);
        // Four standard errors of a variance of about 1,100 settings, and of 200 sessions.
        CHECK(std::abs(fit->setting_variance - 1.0) < 0.17);
        if (session_sd > 1.0)
            CHECK(std::abs(*fit->session_variance / (session_sd * session_sd) - 1.0) < 0.4);
        else
            CHECK(*fit->session_variance < 0.1);
    }
}
