#include "analysis/summaries/match_summary.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>
#include <sstream>

#include "analysis/summaries/text_layout.h"
#include "support/example_session.h"
#include "support/temporary_folder.h"
#include "support/tolerances.h"

using namespace isoseam;
using Catch::Matchers::Contains;

namespace {

struct SettingValues {
    std::string condition;
    std::array<double, 3> contrast;
    std::array<double, 2> setting;
    double duration_s;
    int refused;
    double start_shrunk_to;
};

SettingRecord setting_of(int trial, const SettingValues& values) {
    SettingRecord setting = test::example_setting(trial, values.condition);
    setting.contrast_from_predicted = values.contrast;
    setting.setting = {values.setting[0], values.setting[1]};
    setting.duration_s = values.duration_s;
    setting.refused_steps = {values.refused, 1};
    setting.start_shrunk_to = values.start_shrunk_to;
    return setting;
}

SessionFolder folder_of(const std::string& participant, const std::vector<SettingValues>& values) {
    SessionFolder folder;
    folder.folder = "out/" + participant;
    folder.state = SessionState::complete;
    folder.header_ok = true;
    folder.header = test::example_header();
    folder.header.participant = participant;
    folder.header.session = participant + "-20261125T160312Z";
    for (std::size_t i = 0; i < values.size(); ++i) {
        folder.settings.push_back(setting_of(static_cast<int>(i) + 1, values[i]));
    }
    return folder;
}

// Three settings of "pale" whose means and SDs come out round, one of "dark".
SessionFolder first_folder() {
    return folder_of("P01", {{"pale", {0.01, 0.02, 0.10}, {0.02, -0.01}, 10.0, 2, 1.0},
                             {"dark", {0.03, 0.00, 0.04}, {0.05, 0.07}, 8.0, 0, 1.0},
                             {"pale", {0.03, 0.02, 0.12}, {0.04, -0.03}, 20.0, 0, 0.5},
                             {"pale", {0.02, 0.02, 0.14}, {0.03, -0.05}, 30.0, 3, 1.0}});
}

SessionFolder second_folder() {
    return folder_of("P02", {{"pale", {0.06, 0.02, 0.04}, {0.07, 0.01}, 40.0, 0, 1.0}});
}

const ConditionSummary& row_of(const MatchSeries& series, const std::optional<std::string>& participant,
                               const std::string& condition) {
    for (const ConditionSummary& row : series.conditions) {
        if (row.participant == participant && row.condition == condition) {
            return row;
        }
    }
    throw std::runtime_error("no such row");
}

}  // namespace

TEST_CASE("a condition's figures are those worked out by hand") {
    const MatchSummary summary = summarise_matches({first_folder()});
    REQUIRE(summary.series.size() == 1);
    REQUIRE(summary.series[0].conditions.size() == 2);
    const ConditionSummary& pale = row_of(summary.series[0], "P01", "pale");
    CHECK(pale.settings == 3);
    CHECK(pale.axes == std::vector<std::string>{"L+M", "S"});
    CHECK(pale.setting[0].mean == Approx(0.03).epsilon(test::kRoundingOfDoubles));
    CHECK(pale.setting[0].sd.value() == Approx(0.01).epsilon(test::kRoundingOfDoubles));
    CHECK(pale.setting[1].mean == Approx(-0.03).epsilon(test::kRoundingOfDoubles));
    CHECK(pale.setting[1].sd.value() == Approx(0.02).epsilon(test::kRoundingOfDoubles));
    CHECK(pale.contrast[0].mean == Approx(0.02).epsilon(test::kRoundingOfDoubles));
    CHECK(pale.contrast[0].sd.value() == Approx(0.01).epsilon(test::kRoundingOfDoubles));
    CHECK(pale.contrast[1].mean == Approx(0.02).epsilon(test::kRoundingOfDoubles));
    CHECK(pale.contrast[1].sd.value() == Approx(0.0).margin(1e-15));
    CHECK(pale.contrast[2].mean == Approx(0.12).epsilon(test::kRoundingOfDoubles));
    CHECK(pale.contrast[2].sd.value() == Approx(0.02).epsilon(test::kRoundingOfDoubles));
    CHECK(pale.distance ==
          Approx(std::sqrt(0.0152)).epsilon(test::kRoundingOfDoubles));  // 0.02^2 + 0.02^2 + 0.12^2
    CHECK(pale.duration_s.mean == Approx(20.0).epsilon(test::kRoundingOfDoubles));
    CHECK(pale.duration_s.sd.value() == Approx(10.0).epsilon(test::kRoundingOfDoubles));
    CHECK(pale.refused_steps == 8);  // 2 + 0 + 3 on the first axis, 1 each on the second
    CHECK(pale.starts_moved == 1);
    const ConditionSummary& dark = row_of(summary.series[0], "P01", "dark");
    CHECK(dark.settings == 1);
    CHECK(dark.distance == Approx(0.05).epsilon(test::kRoundingOfDoubles));
    CHECK_FALSE(dark.contrast[0].sd.has_value());
}

TEST_CASE("all participants have the mean of the participants' means, and only if there are several") {
    const MatchSummary summary = summarise_matches({first_folder(), second_folder()});
    REQUIRE(summary.series.size() == 1);
    const ConditionSummary& all = row_of(summary.series[0], std::nullopt, "pale");
    CHECK(all.settings == 4);
    CHECK(all.contrast[0].mean == Approx(0.04).epsilon(test::kRoundingOfDoubles));
    // The SD is of the settings: deviations -0.02, 0, -0.01, 0.03: squares 14e-4, over 3.
    CHECK(all.contrast[0].sd.value() == Approx(std::sqrt(14e-4 / 3.0)).epsilon(test::kRoundingOfDoubles));
    CHECK(row_of(summary.series[0], "P02", "pale").settings == 1);
    CHECK(row_of(summary.series[0], std::nullopt, "dark").settings == 1);
    CHECK(summary.series[0].conditions.size() == 5);
    CHECK(summarise_matches({first_folder()}).series[0].conditions.back().participant == "P01");
}

TEST_CASE("rehearsals, demo calibrations and other protocols are never pooled with real sessions") {
    SessionFolder rehearsal = second_folder();
    rehearsal.header.kind = "rehearsal";
    SessionFolder demo = second_folder();
    demo.header.demo_calibration = true;
    SessionFolder other = second_folder();
    other.header.protocol = test::stored_text("other.yaml", "title: other\n");
    const MatchSummary summary = summarise_matches({rehearsal, demo, other, first_folder()});
    REQUIRE(summary.series.size() == 4);
    for (const MatchSeries& series : summary.series) {
        CHECK(series.participants.size() == 1);
    }
    CHECK(summary.series[3].kind == "rehearsal");
    CHECK(summary.series[2].demo_calibration);
    const std::string text = match_summary_text(summary);
    CHECK_THAT(text, Contains("REHEARSAL: settings of simulated observers, not of people"));
    CHECK_THAT(text,
               Contains("DEMO CALIBRATION: invented or estimated data about the screens, not for science"));
    CHECK_THAT(match_summary_text(summarise_matches({first_folder()})),
               !Contains("REHEARSAL") && !Contains("DEMO"));
}

TEST_CASE("settings on other axes are kept apart") {
    SessionFolder folder = first_folder();
    folder.settings[2].axes = {"L+M", "L-M"};
    const MatchSeries series = summarise_matches({folder}).series[0];
    REQUIRE(series.conditions.size() == 3);
    CHECK(series.conditions[1].settings + series.conditions[2].settings == 3);
}

TEST_CASE("what the figures rest on is said: states, and folders left out with the reason") {
    SessionFolder damaged = second_folder();
    damaged.state = SessionState::damaged;
    damaged.faults = {
        {"out/P02/settings.jsonl", 7, 0, "", "the checksum does not fit", "restore the file from a copy"}};
    SessionFolder empty = folder_of("P03", {});
    SessionFolder copy = first_folder();
    copy.folder = "copies/P01";
    SessionFolder interrupted = second_folder();
    interrupted.state = SessionState::interrupted;
    interrupted.header.calibrations.begin()->second.file = "renamed.yaml";
    interrupted.header.sources[0].calibration = interrupted.header.sources[1].calibration;
    const MatchSummary summary = summarise_matches({first_folder(), damaged, empty, copy, interrupted});
    REQUIRE(summary.folders.size() == 5);
    CHECK(summary.folders[0].left_out_because.empty());
    CHECK_THAT(summary.folders[1].left_out_because,
               Contains("damaged: out/P02/settings.jsonl:7") && Contains("checksum"));
    CHECK(summary.folders[2].left_out_because == "it holds no setting");
    CHECK(summary.folders[3].left_out_because == "it is the same session as out/P01");
    CHECK(summary.series[0].conditions.front().settings == 1);
    CHECK(row_of(summary.series[0], "P01", "pale").settings == 3);
    CHECK(summary.series[0].calibrations_differ);
    const std::string text = match_summary_text(summary);
    CHECK_THAT(
        text,
        Contains(
            "Rests on\n  out/P01\n      complete, 4 settings\n  out/P02\n      interrupted, 1 setting\n"));
    CHECK_THAT(text, Contains("Left out\n  out/P02\n      damaged: ") && Contains("it holds no setting"));
    CHECK_THAT(text, Contains("used different calibrations"));
    CHECK_THAT(text, Contains("Caution: nothing to caution about"));
    CHECK_THAT(match_summary_text(summarise_matches({empty})),
               Contains("No settings to summarise.\nLeft out\n  out/P03"));
}

TEST_CASE("the table, to the letter") {
    const std::string text = match_summary_text(summarise_matches({first_folder()}));
    CHECK_THAT(
        text,
        Contains(
            "\nParticipant P01\n"
            "                              contrast from the predicted match, % (mean, SD)\n"
            "condition                   n       L      SD       M      SD       S      SD  distance  time "
            "s  refused moved\n"
            "dark                        1   3.000    n.d.   0.000    n.d.   4.000    n.d.     5.000     "
            "8.0        1     0\n"
            "pale                        3   2.000   1.000   2.000   0.000  12.000   2.000    12.329    "
            "20.0        8     1\n"));
    CHECK_THAT(text, Contains("pale                 L+M               3.000     1.000     0.516     5.484    "
                              "  n.d.      n.d.  % contrast\n"
                              "pale                 S                -3.000     2.000    -7.968     1.968    "
                              "  n.d.      n.d.  % contrast\n"));
    CHECK_THAT(text,
               Contains("pale                 L+M                2.000      4.000      3.000      1.000"));
    CHECK_THAT(text, Contains("A distance from it is no diagnosis"));
}

TEST_CASE("no line is wider than 110 columns, whatever the names and numbers") {
    SessionFolder folder = first_folder();
    folder.settings[0].condition =
        "a very long name of a condition that says all about its light, its field and its surround, "
        "and then Übergröße and some more so that it does not fit on one line";
    folder.settings[1].axes = {"an axis with a name that is longer than its column", "S"};
    folder.settings[2].contrast_from_predicted = {123456.7, -123456.7, -1e-9};
    folder.settings[2].duration_s = 1e7;
    folder.header.cautions = {std::string(300, 'x').replace(100, 1, " ").replace(200, 1, " ")};
    std::istringstream lines(match_summary_text(summarise_matches({folder, second_folder()}), true));
    for (std::string line; std::getline(lines, line);) {
        INFO(line);
        CHECK(text_columns(line) <= 110);
    }
    CHECK_THAT(match_summary_text(summarise_matches({folder})),
               Contains("does not fit on one line") && !Contains("-0.000"));
}

TEST_CASE("the JSON form holds the same figures, and null for what is not defined") {
    const nlohmann::json json = to_json(summarise_matches({first_folder(), second_folder()}));
    CHECK(json["folders"][0] ==
          nlohmann::json::parse(R"({"folder": "out/P01", "session": "P01-20261125T160312Z",
        "state": "complete", "settings": 4, "used": true, "left_out_because": null})"));
    const nlohmann::json& series = json["series"][0];
    CHECK(series["kind"] == "session");
    CHECK(series["participants"] == nlohmann::json({"P01", "P02"}));
    CHECK(series["protocol"]["sha256"] == test::example_header().protocol.sha256);
    const nlohmann::json& dark = series["conditions"][0];
    CHECK(dark["condition"] == "dark");
    CHECK(dark["contrast_percent"]["l"]["sd"].is_null());
    CHECK(dark["distance_percent"].get<double>() == Approx(5.0).epsilon(test::kRoundingOfDoubles));
    const nlohmann::json& pale = series["conditions"][1];
    CHECK(pale["axes"][1]["name"] == "S");
    CHECK(pale["axes"][1]["mean"].get<double>() == Approx(-0.03).epsilon(test::kRoundingOfDoubles));
    CHECK(pale["contrast_percent"]["s"]["sd"].get<double>() == Approx(2.0).epsilon(test::kRoundingOfDoubles));
    CHECK(pale["duration_s"]["mean"].get<double>() == Approx(20.0).epsilon(test::kRoundingOfDoubles));
    CHECK(pale["axes"][0]["range"]["largest"].get<double>() ==
          Approx(0.04).epsilon(test::kRoundingOfDoubles));
    CHECK(pale["axes"][0]["robust"].is_null());  // of three settings
    // t of 2 degrees of freedom at 97.5 %: 4.3027 (any table).
    CHECK(pale["axes"][0]["mean_interval_95"]["high"].get<double>() ==
          Approx(0.03 + 4.3027 * 0.01 / std::sqrt(3.0)).epsilon(1e-5));
    CHECK(pale["xy"].is_null());  // invented calibrations, which cannot be read
    CHECK_THAT(series["notes"][0].get<std::string>(), Contains("no x, y and u', v' for P01"));
    CHECK(json["eye"].is_null());
    CHECK(series["trends"].size() == 3);
    CHECK(series["components_of_variance"][0]["coordinate"] == "L+M");
    CHECK(series["conditions"][4]["participant"].is_null());
    CHECK(series["conditions"][3]["axes"][0]["mean_interval_95"].is_null());  // one setting
    CHECK(series["conditions"][4]["unit"] == "participant");
    CHECK(series["conditions"][4]["units"] == 2);
    CHECK_FALSE(series["conditions"][4]["one_session_only"].get<bool>());
    CHECK(series["conditions"][4]["person_and_day_are_one"].get<bool>());
    CHECK(pale["unit"] == "setting");
    CHECK(pale["one_session_only"].get<bool>());
    CHECK(pale["axes"][0]["serial_correlation"].is_null());  // of three settings
    // t of 1 degree of freedom at 97.5 %: 12.706 (any table); the participants' means are 0.03 and 0.07.
    CHECK(series["conditions"][4]["axes"][0]["mean_interval_95"]["high"].get<double>() ==
          Approx(0.05 + 12.7062 * 0.02).epsilon(1e-5));
    CHECK_THAT(json.dump(), !Contains("nan"));
}

TEST_CASE("the scatter in chromaticity is a participant's own, from three settings on") {
    SessionFolder first = first_folder();
    // Adjusted lights that differ from the predicted one by amounts that can be checked by hand: M rises by
    // 1, 2 and 3 percent, so that l falls.
    double percent = 0.0;
    for (SettingRecord& setting : first.settings) {
        percent += 1.0;
        setting.predicted_lms = {0.09, 0.08, 0.04};
        setting.adjusted.lms = {0.09, 0.08 * (1.0 + 0.01 * percent), 0.04};
    }
    const MatchSummary summary = summarise_matches({first, second_folder()});
    const MatchSeries& series = summary.series.front();
    CHECK_FALSE(row_of(series, "P01", "dark").chromaticity.has_value());
    CHECK_FALSE(row_of(series, std::nullopt, "pale").chromaticity.has_value());
    const std::optional<PlaneScatter>& scatter = row_of(series, "P01", "pale").chromaticity;
    REQUIRE(scatter);
    // l = a L / (a L + b M) with the published a = 0.689903 and b = 0.348322 of 2 degrees (CIE 170-2:2015).
    const auto l = [](double m) { return 0.689903 * 0.09 / (0.689903 * 0.09 + 0.348322 * m); };
    CHECK(scatter->mean[0] == Approx((l(0.0808) + l(0.0824) + l(0.0832)) / 3.0 - l(0.08)).epsilon(1e-5));
    CHECK(scatter->mean[1] < 0.0);
    const nlohmann::json json = to_json(summary);
    CHECK(json.dump().find("hotelling_from_predicted") != std::string::npos);
    CHECK_THAT(match_summary_text(summary), Contains("95 % of the mean") && Contains("Hotelling"));
}

TEST_CASE("folders on disk are summarised") {
    const test::TemporaryFolder parent;
    const MatchSummary summary =
        summarise_matches({read_session_folder(test::write_example(parent.path(), 4))});
    const ConditionSummary& pale = row_of(summary.series.at(0), "P01", "pale");
    CHECK(pale.settings == 2);
    CHECK(pale.contrast[0].mean == Approx(0.02).epsilon(test::kRoundingOfDoubles));
    CHECK(pale.refused_steps == 4);
}
