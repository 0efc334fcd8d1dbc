// Settings as another eye has them.
#include "analysis/summaries/kept_settings.h"

#include <Eigen/Dense>
#include <atomic>
#include <catch2/catch.hpp>
#include <cmath>

#include "analysis/summaries/match_summary.h"
#include "colorimetry/eye_types.h"
#include "runner/rehearsal/rehearsal.h"
#include "support/error_text.h"
#include "support/file_bytes.h"
#include "support/shown_session.h"
#include "support/sixty_settings.h"
#include "support/temporary_folder.h"

using namespace isoseam;
using Catch::Matchers::Contains;

namespace {

// Sums of the same products in another order.
constexpr double kRecomputed = 1e-9;

Observer eye(double field_deg, double age_years) {
    return Observer::cie170(Degrees::from_degrees(field_deg), Years::from_years(age_years));
}

std::vector<SessionFolder> rehearsed(const std::string& protocol, int observers) {
    const std::string file = std::string(ISOSEAM_SOURCE_DIR) + "/protocols/library/" + protocol + ".yaml";
    const test::TemporaryFolder out;
    RehearsalPlan plan;
    plan.out = out.path();
    plan.observers = observers;
    std::vector<SessionFolder> folders;
    const std::atomic<bool> never = false;
    for (const RehearsedSession& session : rehearse(test::setup_from(test::file_bytes(file), file), plan,
                                                    {[](const std::string&) {}, [](int) {}, {}}, never))
        folders.push_back(read_session_folder(session.folder));
    return folders;
}

bool alike(const Eigen::Vector3d& a, const std::array<double, 3>& b) {
    return (a - Eigen::Vector3d(b[0], b[1], b[2])).cwiseAbs().maxCoeff() <=
           kRecomputed * Eigen::Vector3d(b[0], b[1], b[2]).cwiseAbs().maxCoeff();
}

}  // namespace

TEST_CASE("excitations computed anew for the nominal eye are those that the program recorded") {
    for (const char* protocol : {"metamer_two_sources", "flicker_photometry"}) {
        for (const SessionFolder& folder : rehearsed(protocol, 2)) {
            KnownScreens screens;
            const ShownLights shown(folder.header, screens);
            const Observer nominal = eye(folder.header.observer.field_deg, folder.header.observer.age_years);
            for (const SettingRecord& setting : folder.settings) {
                for (const HalfRecord& half : {setting.adjusted, setting.reference, setting.start_adjusted})
                    REQUIRE(alike(shown.lms(half, nominal).vector(), half.lms));
            }
        }
    }
}

TEST_CASE("the summary for the nominal eye, computed anew, is the recorded one") {
    for (const char* protocol : {"metamer_two_sources", "flicker_photometry"}) {
        const std::vector<SessionFolder> folders = rehearsed(protocol, 2);
        const SessionHeader& header = folders.front().header;
        MatchOptions options;
        options.eye = eye(header.observer.field_deg, header.observer.age_years);
        const MatchSummary recorded = summarise_matches(folders);
        const MatchSummary anew = summarise_matches(folders, options);
        CHECK(anew.series[0].notes.empty());
        REQUIRE(anew.series[0].conditions.size() == recorded.series[0].conditions.size());
        for (std::size_t i = 0; i < anew.series[0].conditions.size(); ++i) {
            const ConditionSummary& a = recorded.series[0].conditions[i];
            const ConditionSummary& b = anew.series[0].conditions[i];
            for (std::size_t cone = 0; cone < 3; ++cone) {
                // A test light's contrast is taken from its own colour: codes turn that by up to a step.
                const double margin = std::string(protocol) == "flicker_photometry" ? 0.01 : kRecomputed;
                CHECK(b.contrast[cone].mean == Approx(a.contrast[cone].mean).margin(margin));
            }
            if (a.chromaticity && std::string(protocol) == "metamer_two_sources")
                CHECK((a.chromaticity->mean - b.chromaticity->mean).norm() < kRecomputed);
            CHECK(a.setting[0].mean == b.setting[0].mean);
        }
    }
}

TEST_CASE("another eye sees a metameric match off, and a match of one screen with itself not") {
    test::ShownSession session({{"broad", test::invented_calibration({620.0, 535.0, 455.0})},
                                {"narrow", test::invented_calibration({640.0, 520.0, 440.0})}},
                               eye(2, 32));
    const HalfRecord reference = session.half("left", "broad", {0.3, 0.4, 0.5});
    // The narrow screen's drives that the nominal observer has for the same excitations.
    const DisplayModel& narrow = session.display("narrow");
    const Eigen::Vector3d wanted(reference.lms[0], reference.lms[1], reference.lms[2]);
    const Eigen::Vector3d linear = Eigen::Matrix3d(narrow.lms_from_linear(eye(2, 32)))
                                       .partialPivLu()
                                       .solve(wanted - narrow.black_lms(eye(2, 32)).vector());
    session.add("metamer", session.half("right", "narrow", {linear[0], linear[1], linear[2]}), reference);
    session.add("same", session.half("right", "broad", {0.3, 0.4, 0.5}), reference);
    MatchOptions options;
    options.eye = eye(10, 70);
    const MatchSummary summary = summarise_matches({session.folder()}, options);
    CHECK_THAT(summary.eye, Contains("age 70"));
    const std::vector<ConditionSummary>& rows = summary.series[0].conditions;
    REQUIRE(rows[0].condition == "metamer");
    // By the spectra themselves.
    KnownScreens screens;
    const ShownLights shown(session.folder().header, screens);
    const Lms adjusted = options.eye->excitations(shown.spectrum(session.folder().settings[0].adjusted));
    const Lms of_reference = options.eye->excitations(shown.spectrum(reference));
    CHECK(rows[0].contrast[0].mean == Approx(adjusted.l / of_reference.l - 1.0).epsilon(1e-9));
    CHECK(rows[0].contrast[2].mean == Approx(adjusted.s / of_reference.s - 1.0).epsilon(1e-9));
    CHECK(rows[0].distance > 0.01);
    CHECK(rows[1].distance == Approx(0.0).margin(kRecomputed));
    CHECK(summarise_matches({session.folder()}).series[0].conditions[0].distance == Approx(0.0).margin(1e-9));
    CHECK_THAT(match_summary_text(summary),
               Contains("ANOTHER EYE: ") && Contains("that of the eye named above"));
}

TEST_CASE("a test light is predicted at the luminance that the other eye gives the reference") {
    test::ShownSession session({{"LCD", test::invented_calibration({620.0, 535.0, 455.0})}}, eye(2, 32));
    const HalfRecord reference = session.half("first", "LCD", {0.3, 0.3, 0.3});
    const HalfRecord adjusted = session.half("second", "LCD", {0.7, 0.05, 0.0});
    session.add_null("long wave", adjusted, reference);
    MatchOptions options;
    options.eye = eye(10, 70);
    const ConditionSummary row = summarise_matches({session.folder()}, options).series[0].conditions[0];
    KnownScreens screens;
    const ShownLights shown(session.folder().header, screens);
    const double expected = luminance_cd_m2(shown.lms(adjusted, *options.eye), *options.eye) /
                                luminance_cd_m2(shown.lms(reference, *options.eye), *options.eye) -
                            1.0;
    for (const Estimate& cone : row.contrast)
        CHECK(cone.mean == Approx(expected).epsilon(1e-9));
}

TEST_CASE("settings whose prediction cannot be told for another eye are left out and counted") {
    test::ShownSession session({{"LCD", test::invented_calibration({620.0, 535.0, 455.0})}}, eye(2, 32));
    const HalfRecord reference = session.half("first", "LCD", {0.3, 0.3, 0.3});
    SettingRecord& turned =
        session.add_null("turned", session.half("second", "LCD", {0.7, 0.05, 0.0}), reference);
    turned.target_lms[2] *= 1.01;
    session.add("match", session.half("second", "LCD", {0.31, 0.3, 0.3}), reference);
    MatchOptions options;
    options.eye = eye(2, 60);
    const MatchSummary summary = summarise_matches({session.folder()}, options);
    REQUIRE(summary.series[0].conditions.size() == 1);
    CHECK(summary.series[0].conditions[0].condition == "match");
    REQUIRE(summary.series[0].notes.size() == 1);
    CHECK_THAT(
        summary.series[0].notes[0],
        Contains("1 setting of turned left out, since it cannot be told what would match for this eye"));
    CHECK_THAT(match_summary_text(summary), Contains("Note: P01-"));
}

TEST_CASE("another eye needs calibrations that can be read, and three kinds of cone") {
    test::ShownSession session({{"LCD", test::invented_calibration({620.0, 535.0, 455.0})}}, eye(2, 32));
    const HalfRecord half = session.half("left", "LCD", {0.3, 0.3, 0.3});
    session.add("grey", half, half);
    for (auto& [sha256, text] : session.folder().header.calibrations)
        text.text = "name: LCD\n";
    MatchOptions options;
    options.eye = eye(2, 60);
    const MatchSummary other = summarise_matches({session.folder()}, options);
    CHECK_THAT(other.folders[0].left_out_because,
               Contains("its lights cannot be computed from its calibrations") && Contains("LCD.yaml"));
    CHECK(other.series.empty());
    const MatchSummary nominal = summarise_matches({session.folder()});
    CHECK(nominal.series[0].conditions[0].settings == 1);
    CHECK_THAT(nominal.series[0].notes.at(0), Contains("no x, y and u', v' for P01-"));

    options.eye = Observer(as_type({}, EyeType::deuteranope));
    CHECK_THAT(test::input_error_text([&] { summarise_matches({}, options); }),
               Contains("this eye has no M cones") && Contains("give an eye with three kinds of cone"));
}

namespace {

// Each session by itself: the mean of the means of those that have the condition.
double mean_over_sessions(const std::vector<SessionFolder>& sessions, const std::string& condition,
                          std::size_t axis) {
    double sum = 0.0;
    int count = 0;
    for (const SessionFolder& session : sessions) {
        const MatchSummary alone = summarise_matches({session});
        for (const ConditionSummary& summary : alone.series[0].conditions) {
            if (summary.condition != condition)
                continue;
            sum += summary.setting[axis].mean;
            ++count;
        }
    }
    return sum / count;
}

}  // namespace

TEST_CASE(
    "two sessions of a participant hold the settings of one with all, and their mean is that of both means") {
    for (const char* protocol : {"metamer_two_sources", "precision_one_screen"}) {
        const SessionFolder whole = rehearsed(protocol, 1).front();
        SessionFolder first = whole;
        SessionFolder second = whole;
        second.header.session += "-2";
        second.header_sha256 = std::string(64, '0');
        const auto half = static_cast<std::ptrdiff_t>(whole.settings.size() / 2);
        first.settings.erase(first.settings.begin() + half, first.settings.end());
        second.settings.erase(second.settings.begin(), second.settings.begin() + half);
        const MatchSummary once = summarise_matches({whole});
        const MatchSummary twice = summarise_matches({first, second});
        const std::vector<ConditionSummary>& expected = once.series[0].conditions;
        const std::vector<ConditionSummary>& added = twice.series[0].conditions;
        REQUIRE(added.size() == expected.size());
        for (std::size_t i = 0; i < expected.size(); ++i) {
            INFO(protocol << ", " << expected[i].condition);
            CHECK(added[i].settings == expected[i].settings);
            for (std::size_t axis = 0; axis < expected[i].axes.size(); ++axis) {
                CHECK(added[i].setting[axis].mean ==
                      Approx(mean_over_sessions({first, second}, expected[i].condition, axis))
                          .margin(kRecomputed));
                CHECK(added[i].setting[axis].sd == expected[i].setting[axis].sd);
            }
            REQUIRE(added[i].contrast_scatter.has_value() == expected[i].contrast_scatter.has_value());
            if (!expected[i].contrast_scatter)
                continue;
            const std::vector<Eigen::Vector3d>& apart = expected[i].contrast_scatter->not_reached;
            REQUIRE(added[i].contrast_scatter->not_reached.size() == apart.size());
            for (std::size_t k = 0; k < apart.size(); ++k)
                CHECK((added[i].contrast_scatter->not_reached[k] - apart[k]).norm() < kRecomputed);
        }
    }
}
