// From settings to the figures of a condition, through the whole summary.
#include "analysis/summaries/condition_summary.h"

#include <fmt/format.h>
#include <Eigen/Dense>
#include <catch2/catch.hpp>
#include <cmath>

#include "support/published_table.h"
#include "support/seeded_sets.h"
#include "support/shown_session.h"
#include "support/tolerances.h"

using namespace isoseam;
using Catch::Matchers::Contains;

namespace {

Observer nominal() {
    return Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
}

test::ShownSession one_screen() {
    return test::ShownSession({{"LCD", test::invented_calibration({620.0, 535.0, 455.0})}}, nominal());
}

// Linear drives for a chromaticity at 10 cd/m2; any finite ones, so that all published centres can be made.
std::vector<double> drives_for(const DisplayModel& display, double x, double y) {
    const Eigen::Vector3d wanted(10.0 * x / y, 10.0, 10.0 * (1.0 - x - y) / y);
    const Eigen::Vector3d linear = Eigen::Matrix3d(display.xyz_from_linear())
                                       .partialPivLu()
                                       .solve(wanted - display.black_xyz().vector());
    return {linear[0], linear[1], linear[2]};
}

// Settings of three axes about the reference, with a scatter along each and a mean.
test::ShownSession scattered(int count, const Eigen::Vector3d& mean, double sd, std::uint64_t seed) {
    test::ShownSession session = one_screen();
    test::Draws draws(seed);
    const HalfRecord reference = session.half("left", "LCD", {0.4, 0.4, 0.4});
    for (int i = 0; i < count; ++i) {
        std::vector<double> linear(3);
        for (std::size_t k = 0; k < 3; ++k)
            linear[k] = 0.4 * (1.0 + mean[static_cast<Eigen::Index>(k)] + sd * draws.normal());
        session.add("grey", session.half("right", "LCD", linear), reference);
    }
    return session;
}

const ConditionSummary& only_row(const MatchSummary& summary) {
    REQUIRE(summary.series.size() == 1);
    REQUIRE(summary.series[0].conditions.size() == 1);
    return summary.series[0].conditions[0];
}

}  // namespace

// tests/published/macadam_1942_ellipses.csv: MacAdam 1942, J. Opt. Soc. Am. 32, 247; Wyszecki & Stiles table
// 2(5.4.1). Its ellipses are of one standard deviation (common practice to read them so).
TEST_CASE("settings drawn from each of MacAdam's 25 ellipses give the ellipse back") {
    constexpr int kSettings = 400;
    constexpr double kDegree = 3.14159265358979323846 / 180.0;
    test::ShownSession session = one_screen();
    const HalfRecord reference = session.half("left", "LCD", {0.4, 0.4, 0.4});
    test::Draws draws(91);
    const test::PublishedRows table = test::published_table("macadam_1942_ellipses.csv");
    REQUIRE(table.size() == 25);
    for (std::size_t i = 0; i < table.size(); ++i) {
        const std::vector<double>& row = table[i];
        for (int k = 0; k < kSettings; ++k) {
            const double u = 1e-3 * row[2] * draws.normal();
            const double v = 1e-3 * row[3] * draws.normal();
            const double c = std::cos(row[4] * kDegree);
            const double s = std::sin(row[4] * kDegree);
            const std::vector<double> linear =
                drives_for(session.display("LCD"), row[0] + c * u - s * v, row[1] + s * u + c * v);
            session.add(fmt::format("ellipse {:02}", i), session.half("right", "LCD", linear), reference);
        }
    }
    const MatchSummary summary = summarise_matches({session.folder()});
    REQUIRE(summary.series[0].conditions.size() == 25);
    // One ellipse's semi-axis has a relative standard error of 1 / sqrt(2 (n - 1)), its angle one of
    // a b / (a^2 - b^2) / sqrt(n - 1) radians, its centre's coordinates at most a / sqrt(n). Of 125 figures
    // none lies beyond 4.9 of them but in one of 8,000 seeds.
    constexpr double kErrors = 4.9;
    for (std::size_t i = 0; i < table.size(); ++i) {
        const std::vector<double>& row = table[i];
        const ConditionSummary& condition = summary.series[0].conditions[i];
        REQUIRE(condition.xy);
        const Ellipse ellipse = standard_ellipse(*condition.xy->settings);
        const double semi_axis_error = 1.0 / std::sqrt(2.0 * (kSettings - 1.0));
        INFO(condition.condition);
        CHECK(std::abs(1e3 * ellipse.semi_major / row[2] - 1.0) < kErrors * semi_axis_error);
        CHECK(std::abs(1e3 * ellipse.semi_minor / row[3] - 1.0) < kErrors * semi_axis_error);
        const double angle_error =
            row[2] * row[3] / (row[2] * row[2] - row[3] * row[3]) / std::sqrt(kSettings - 1.0);
        const double turned = std::remainder(ellipse.angle_deg - row[4], 180.0) * kDegree;
        CHECK(std::abs(turned) < kErrors * angle_error);
        CHECK((condition.xy->mean - Eigen::Vector2d(row[0], row[1])).norm() <
              kErrors * 1e-3 * row[2] / std::sqrt(kSettings));
    }
}

TEST_CASE("u', v' are those of the tristimulus values, whatever their light") {
    test::ShownSession session = scattered(5, Eigen::Vector3d::Zero(), 0.02, 92);
    const ConditionSummary row = only_row(summarise_matches({session.folder()}));
    REQUIRE(row.uv);
    Eigen::Vector2d mean = Eigen::Vector2d::Zero();
    KnownScreens screens;
    const ShownLights shown(session.folder().header, screens);
    for (const SettingRecord& setting : session.folder().settings) {
        const UniformChromaticity uv = uniform_chromaticity_from_xyz(shown.xyz(setting.adjusted));
        mean += Eigen::Vector2d(uv.u_prime, uv.v_prime) / 5.0;
    }
    CHECK((row.uv->mean - mean).norm() < 1e-12);
    CHECK_FALSE(row.uv->units->from_origin.has_value());
    CHECK_FALSE(row.xy->units->from_origin.has_value());
}

TEST_CASE("the scatter of contrasts has the covariance of its planes, and a test where three axes reach") {
    test::ShownSession session = scattered(12, {0.03, 0.0, 0.0}, 0.01, 93);
    const ConditionSummary row = only_row(summarise_matches({session.folder()}));
    REQUIRE(row.contrast_scatter);
    const ContrastScatter& scatter = *row.contrast_scatter;
    CHECK(scatter.not_reached.empty());
    CHECK(scatter.mean[1] == Approx(row.contrast[1].mean).epsilon(test::kRoundingOfDoubles));
    CHECK((*scatter.covariance)(2, 2) ==
          Approx(*row.contrast[2].sd * *row.contrast[2].sd).epsilon(test::kRoundingOfDoubles));
    CHECK(scatter.lm.settings->covariance(0, 1) ==
          Approx((*scatter.covariance)(0, 1)).epsilon(test::kRoundingOfDoubles));
    CHECK(scatter.ls.settings->covariance(0, 1) ==
          Approx((*scatter.covariance)(0, 2)).epsilon(test::kRoundingOfDoubles));
    REQUIRE(scatter.from_predicted);
    CHECK(scatter.from_predicted->dimensions == 3);
    CHECK(scatter.from_predicted->p < 0.001);
    // The axes are L, M and S themselves here.
    REQUIRE(row.axes_from_predicted);
    CHECK(row.axes_from_predicted->t_squared ==
          Approx(scatter.from_predicted->t_squared).epsilon(test::kFiveDigits));
    CHECK(row.chromaticity->units->from_origin.has_value());
}

TEST_CASE("directions that the axes do not reach are named, and rounding to codes is no scatter there") {
    test::ShownSession session = one_screen();
    const HalfRecord reference = session.half("left", "LCD", {0.4, 0.4, 0.4});
    for (int i = 0; i < 8; ++i) {
        // Along L+M+S alone, but by codes that miss by a little.
        const double level = 0.4 * (1.0 + 0.01 * i);
        SettingRecord& setting = session.add(
            "radiance", session.half("right", "LCD", {level + 1e-4 * (i % 3), level, level}), reference);
        setting.axes = {"L+M+S"};
        setting.setting = {0.01 * i};
        setting.start = {0.1};
        setting.refused_steps = {0};
        for (std::size_t cone = 0; cone < 3; ++cone)
            setting.target_lms[cone] = setting.predicted_lms[cone] * (1.0 + 0.01 * i);
    }
    const MatchSummary summary = summarise_matches({session.folder()});
    const ConditionSummary& row = only_row(summary);
    const ContrastScatter& scatter = *row.contrast_scatter;
    REQUIRE(scatter.not_reached.size() == 2);
    for (const Eigen::Vector3d& direction : scatter.not_reached) {
        CHECK(direction.norm() == Approx(1.0).epsilon(test::kRoundingOfDoubles));
        CHECK(direction.sum() == Approx(0.0).margin(1e-6));  // across L+M+S
    }
    CHECK_FALSE(scatter.from_predicted.has_value());
    CHECK_FALSE(row.chromaticity->units->from_origin.has_value());
    REQUIRE(row.axes_from_predicted);
    CHECK(row.axes_from_predicted->dimensions == 1);
    CHECK_THAT(
        match_summary_text(summary),
        Contains(
            "radiance: no test in L, M and S contrast, since its axes move settings along 0.58 L + 0.58 M"));
}

TEST_CASE("a setting far off is named with its session, trial and size, and counts all the same") {
    test::ShownSession session = scattered(20, Eigen::Vector3d::Zero(), 0.01, 94);
    session.folder().settings[6].setting[1] = 0.5;
    const MatchSummary summary = summarise_matches({session.folder()});
    const ConditionSummary& row = only_row(summary);
    REQUIRE(row.far.size() == 1);
    CHECK(row.far[0].session == "P01-20261125T160312Z");
    CHECK(row.far[0].trial == 7);
    CHECK(row.far[0].axis == "M");
    CHECK(row.far[0].setting == 0.5);
    CHECK(row.far[0].scales > 20.0);
    CHECK(row.setting[1].mean > 0.02);
    CHECK(std::abs(row.robust[1]->location) < 0.01);
    CHECK(row.range[1].largest == 0.5);
    CHECK_THAT(
        match_summary_text(summary),
        Contains("Far from the others of grey: P01-20261125T160312Z, trial 7, axis M: 50.000 % contrast"));
}

TEST_CASE("range and midpoint are those of the settings") {
    test::ShownSession session = scattered(3, Eigen::Vector3d::Zero(), 0.01, 95);
    for (std::size_t i = 0; i < 3; ++i)
        session.folder().settings[i].setting[0] = std::array{0.02, -0.04, 0.01}[i];
    const AxisRange range = only_row(summarise_matches({session.folder()})).range[0];
    CHECK(range.smallest == -0.04);
    CHECK(range.largest == 0.02);
    CHECK(range.midpoint() == Approx(-0.01).epsilon(test::kRoundingOfDoubles));
    CHECK(range.half_range() == Approx(0.03).epsilon(test::kRoundingOfDoubles));
}

TEST_CASE("drift and the effect of starts are found within sessions, not between them") {
    std::vector<SessionFolder> folders;
    test::Draws draws(96);
    for (int s = 0; s < 4; ++s) {
        test::ShownSession session = scattered(12, Eigen::Vector3d::Zero(), 0.01, 97);
        session.folder().header.session = fmt::format("P01-2026112{}T160312Z", s);
        for (SettingRecord& setting : session.folder().settings) {
            const double start = 0.1 * draws.normal();
            setting.start = {start, start, start};
            // The session's own level, 1 % a trial along L, a fifth of the start along M, nothing along S.
            const double level = 10.0 * s;
            setting.setting = {level + 0.01 * setting.trial + 1e-3 * draws.normal(),
                               level + 0.2 * start + 1e-3 * draws.normal(), level + 1e-3 * draws.normal()};
        }
        folders.push_back(session.folder());
    }
    const MatchSummary summary = summarise_matches(folders);
    REQUIRE(summary.series[0].trends.size() == 1);
    const std::vector<AxisTrend>& axes = summary.series[0].trends[0].axes;
    REQUIRE(axes.size() == 3);
    CHECK(axes[0].axis == "L");
    CHECK(axes[0].drift->slope == Approx(0.01).epsilon(0.02));
    CHECK(axes[0].drift->degrees == 4 * 12 - 4 - 1);
    CHECK(axes[1].start->slope == Approx(0.2).epsilon(0.05));
    CHECK(axes[1].start->interval_95.holds(0.2));
    CHECK(axes[2].start->p > 0.001);
    CHECK(axes[2].drift->p > 0.001);
    CHECK_THAT(match_summary_text(summary), Contains("drifts") && Contains("stays near its start"));
}

TEST_CASE("what differs between participants is set apart from what differs within them") {
    std::vector<SessionFolder> folders;
    test::Draws draws(98);
    for (int p = 0; p < 6; ++p) {
        test::ShownSession session =
            scattered(8, Eigen::Vector3d::Zero(), 0.01, static_cast<std::uint64_t>(p));
        session.folder().header.participant = fmt::format("P{}", p);
        for (SettingRecord& setting : session.folder().settings)
            setting.setting = {0.1 * p + 0.01 * draws.normal(), 0.01 * draws.normal(), 0.01 * draws.normal()};
        folders.push_back(session.folder());
    }
    const MatchSummary summary = summarise_matches(folders);
    const std::vector<ComponentsSummary>& components = summary.series[0].components;
    REQUIRE(components.size() == 8);
    CHECK(components[0].coordinate == "L");
    CHECK(components[3].coordinate == "contrast L");
    CHECK(components[6].coordinate == "l");
    CHECK(components[0].components.observers == 6);
    CHECK(components[0].components.observers_differ());
    // The variance of 0, 0.1 .. 0.5.
    CHECK(components[0].components.between == Approx(0.035).epsilon(0.1));
    CHECK(std::sqrt(components[0].components.within) == Approx(0.01).epsilon(0.4));
    CHECK(summary.series[0].trends.size() == 7);
    CHECK_FALSE(summary.series[0].conditions.back().participant.has_value());
    // The means of 0, 0.1 .. 0.5 have an SD of 0.187; t of 5 degrees of freedom at 97.5 % is 2.571 (any table).
    const Interval& interval = summary.series[0].conditions.back().setting[0].interval_95.value();
    CHECK(interval.low == Approx(0.25 - 2.571 * 0.1871 / std::sqrt(6.0)).margin(0.01));
    CHECK(interval.high == Approx(0.25 + 2.571 * 0.1871 / std::sqrt(6.0)).margin(0.01));
    CHECK(summary.series[0].conditions.back().chromaticity->units->count == 6);
    CHECK_FALSE(summary.series[0].conditions.back().chromaticity->settings.has_value());
    CHECK_THAT(match_summary_text(summary), Contains("Between and within participants"));
}

TEST_CASE("points are kept only where they are asked for") {
    test::ShownSession session = scattered(4, Eigen::Vector3d::Zero(), 0.01, 99);
    CHECK(only_row(summarise_matches({session.folder()})).points.empty());
    MatchOptions options;
    options.keep_settings = true;
    const ConditionSummary row = only_row(summarise_matches({session.folder()}, options));
    REQUIRE(row.points.size() == 4);
    CHECK(row.points[2].trial == 3);
    CHECK(row.points[2].setting == session.folder().settings[2].setting);
    CHECK(row.points[2].start == session.folder().settings[2].start);
    CHECK(row.points[2].xy.has_value());
    const Eigen::Vector2d mean = (*row.points[0].ls_from_predicted + *row.points[1].ls_from_predicted +
                                  *row.points[2].ls_from_predicted + *row.points[3].ls_from_predicted) /
                                 4.0;
    CHECK((mean - row.chromaticity->mean).norm() < 1e-12);
}
