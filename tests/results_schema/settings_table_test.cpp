#include <fmt/format.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <sstream>

#include "results_schema/records_table.h"
#include "results_schema/session_folder.h"
#include "support/example_session.h"
#include "support/file_bytes.h"
#include "support/temporary_folder.h"

using namespace isoseam;

namespace {

// The fields of one record, by a reader of RFC 4180 that is written for this test.
std::vector<std::string> fields(const std::string& record) {
    std::vector<std::string> result(1);
    bool quoted = false;
    for (std::size_t i = 0; i + 2 < record.size(); ++i) {
        const bool doubled = record[i] == '"' && record[i + 1] == '"';
        if (quoted && doubled) {
            result.back() += record[i++];
        } else if (record[i] == '"') {
            quoted = !quoted;
        } else if (record[i] == ',' && !quoted) {
            result.emplace_back();
        } else {
            result.back() += record[i];
        }
    }
    return result;
}

SessionFolder folder_with(const SettingRecord& setting) {
    SessionFolder folder;
    folder.state = SessionState::left_early;
    folder.header = test::example_header();
    folder.header.session = "P01-20261125T160312Z";
    folder.settings = {setting};
    return folder;
}

std::string cell(const SettingRecord& setting, const std::string& column) {
    const std::vector<std::string> names = fields(settings_table_header());
    const std::vector<std::string> values = fields(settings_table_rows(folder_with(setting)));
    REQUIRE(names.size() == values.size());
    const auto found = std::find(names.begin(), names.end(), column);
    REQUIRE(found != names.end());
    return values[static_cast<std::size_t>(found - names.begin())];
}

}  // namespace

TEST_CASE("the table's columns and one row of it") {
    CHECK(
        settings_table_header() ==
        "session,state,participant,kind,demo_calibration,trial,condition,repeat,adjusted_half,reference_half,"
        "space,"
        "axis_1_name,axis_1_start,axis_1_setting,axis_1_path_length,axis_2_name,axis_2_start,axis_2_setting,"
        "axis_2_path_length,axis_3_name,axis_3_start,axis_3_setting,axis_3_path_length,further_axes,further_"
        "starts,"
        "further_settings,further_path_lengths,contrast_l,contrast_m,contrast_s,duration_s,steps,refused_"
        "steps,"
        "start_shrunk_to,adjusted_source,adjusted_bits,adjusted_code,adjusted_linear,adjusted_l,adjusted_m,"
        "adjusted_s,"
        "reference_source,reference_bits,reference_code,reference_linear,reference_l,reference_m,reference_s,"
        "start_adjusted_source,start_adjusted_bits,start_adjusted_code,start_adjusted_linear,start_adjusted_"
        "l,"
        "start_adjusted_m,start_adjusted_s,target_l,target_m,target_s,predicted_l,predicted_m,predicted_"
        "s,frames_shown,frames_late,frames_dropped,ignored_presses\r\n");
    CHECK(
        settings_table_rows(folder_with(test::example_setting(2))) ==
        "P01-20261125T160312Z,left "
        "early,P01,session,false,2,pale,1,right,left,cone_contrast,L+M,0.02,0.002,0.02,S,-0.1,"
        "0.3333333333333333,0.5,,,,,,,,,0.02,-0.02,0.1,10.5,14,2,1,narrow,8,63 180 128,0.25 0.5 "
        "0.25,0.8125,2.5,"
        "0.3333333333333333,LCD,8,127 180 128,0.5 0.5 0.25,1.625,2.5,0.3333333333333333,narrow,8,191 180 128,"
        "0.75 0.5 0.25,2.4375,2.5,0.3333333333333333,1,1e-300,5e-324,1.0000000000000002,2,3,,,,0\r\n");
}

TEST_CASE("the columns of the table of answers and one row of it") {
    SessionFolder folder = folder_with(test::example_setting(1));
    AnswerRecord answer = test::example_answer(7);
    folder.answers = {answer};
    CHECK(answers_table_header() ==
          "session,state,participant,kind,demo_calibration,trial,condition,repeat,run,track,form,space,"
          "axis_1_name,axis_1_level,axis_2_name,axis_2_level,axis_3_name,axis_3_level,target,practice,"
          "catch_trial,places,target_place,answer,answer_value,right,duration_s,shown_source,shown_bits,"
          "shown_code,"
          "shown_linear,shown_l,shown_m,shown_s,reference_source,reference_bits,reference_code,"
          "reference_linear,reference_l,reference_m,reference_s,frames_shown,frames_late,frames_dropped,"
          "ignored_presses\r\n");
    CHECK(answers_table_rows(folder) ==
          "P01-20261125T160312Z,left early,P01,session,false,7,faint,1,3,1,place,cone_contrast,L,0.01,S,"
          "0.3333333333333333,,,true,false,false,2,left,right,1,false,0.75,LCD,8,63 180 128,0.25 0.5 0.25,"
          "0.8125,2.5,0.3333333333333333,narrow,8,127 180 128,0.5 0.5 0.25,1.625,2.5,0.3333333333333333,"
          "30,0,0,2\r\n");
    // Where nothing is right or wrong, and no place had the target.
    answer.right.reset();
    answer.target_place.reset();
    folder.answers = {answer};
    CHECK_THAT(answers_table_rows(folder), Catch::Contains(",true,false,false,2,,right,1,,0.75,"));
}

TEST_CASE("one row per setting of a folder on disk") {
    const test::TemporaryFolder parent;
    const std::string rows = settings_table_rows(read_session_folder(test::write_example(parent.path(), 3)));
    CHECK(std::count(rows.begin(), rows.end(), '\n') == 3);
    CHECK(settings_table_rows(SessionFolder{}).empty());
}

TEST_CASE("any text survives in a cell") {
    for (const std::string condition :
         {"pale, blue", "the \"second\"", "two\nlines", "\"", ",", "ends with \"\""}) {
        CHECK(cell(test::example_setting(1, condition), "condition") == condition);
    }
}

TEST_CASE("frames have cells where a stimulus was timed by them") {
    CHECK(cell(test::example_setting(1), "frames_shown") == "600");
    CHECK(cell(test::example_setting(1), "frames_late") == "2");
    CHECK(cell(test::example_setting(1), "frames_dropped") == "3");
    CHECK(cell(test::example_setting(2), "frames_late").empty());
}

TEST_CASE("no axis is left out of the table") {
    SettingRecord setting = test::example_setting(1);
    setting.axes = {"primary 1", "primary 2", "primary 3", "primary 4", "primary 5"};
    setting.start = {0.1, 0.2, 0.3, 0.4, 0.5};
    setting.setting = {1.1, 1.2, 1.3, 1.4, 1.5};
    setting.path_length = {2.1, 2.2, 2.3, 2.4, 2.5};
    setting.refused_steps = {1, 2, 3, 4, 5};
    CHECK(cell(setting, "axis_3_setting") == "1.3");
    CHECK(cell(setting, "further_axes") == "primary 4;primary 5");
    CHECK(cell(setting, "further_starts") == "0.4 0.5");
    CHECK(cell(setting, "further_settings") == "1.4 1.5");
    CHECK(cell(setting, "further_path_lengths") == "2.4 2.5");
    CHECK(cell(setting, "refused_steps") == "15");
    CHECK(cell(test::example_setting(1), "axis_3_setting").empty());
    CHECK(cell(test::example_setting(1), "further_axes").empty());
}
