#include "analysis/study_report/task_section.h"

#include <catch2/catch.hpp>

#include "analysis/summaries/text_layout.h"
#include "support/example_study.h"
#include "support/report_parts.h"

using namespace isoseam;
using namespace isoseam::test;

TEST_CASE("thresholds are the summary's, and answers that tell none are named") {
    const StudyMaker maker;
    const std::vector<SessionFolder> folders{maker.answers("P01", {3, 10, 19}),
                                             maker.answers("P02", {20, 20, 20})};
    const PageDocument report = report_of(folders);
    const ThresholdSummary summary = summarise_thresholds(folders, {});
    const PageTable thresholds = table_of(report, "Thresholds and slopes");
    REQUIRE(thresholds.rows.size() == 1);
    const PsychometricFit& fit = *summary.series[0].tasks[0].fit;
    CHECK(thresholds.rows[0][0] == "P01");
    CHECK(thresholds.rows[0][4] == fixed(100.0 * fit.curve->threshold, 3));
    CHECK(thresholds.rows[0][5] ==
          fixed(100.0 * *fit.threshold_95.low, 3) + " to " + fixed(100.0 * *fit.threshold_95.high, 3));
    CHECK(thresholds.rows[0][6] == fixed(fit.curve->slope, 3));
    const PageTable answers = table_of(report, "Answers.");
    REQUIRE(answers.rows.size() == 2);
    CHECK(answers.rows[0][4] == "60");
    CHECK(answers.rows[0][5] == "32");
    CHECK(answers.rows[0][6] == "2");
    CHECK(holds(words_of(report, "Answers of"), "P02, condition \u201cfaint\u201d: not identified:"));
    CHECK(table_of(report, "Participants").rows[0] ==
          std::vector<std::string>{"P01", "person", "1", "2026-11-25", "0", "60", "2", "0"});
    CHECK(
        holds(words_of(report, "Methods"),
              "In the condition \u201cfaint\u201d, answers (yes or no) were given to lights along L in cone "
              "contrast; there were 60 answers for each participant, 120 in all, and 4 in practice, which do "
              "not count."));
}

TEST_CASE("weights of luminance are the summary's, and matches of colour bring none") {
    SessionFolder folder = StudyMaker().empty("P01");
    StudyMaker().add_settings(folder, "one", 4, 4);
    int i = 0;
    for (SettingRecord& setting : folder.settings) {  // a long-wave light against a grey, at about their null
        setting.adjusted_half = setting.adjusted.half = "second";
        setting.reference_half = setting.reference.half = "first";
        setting.axes = {"L+M+S"};
        setting.setting = {0.0};
        setting.start = {0.1};
        setting.refused_steps = {0};
        const double step = 1.0 + 0.01 * (i++ % 2);
        setting.reference.lms = {1.0, 0.8, 0.3};
        setting.adjusted.lms = {1.2 * step, 0.4 * step, 0.1 * step};
        setting.predicted_lms = {1.2, 0.4, 0.1};
    }
    const PageDocument report = report_of({folder});
    const FlickerSummary summary = summarise_flicker({folder});
    const FlickerFit& fit = summary.series[0].weights[0].fit.value();
    const PageTable weights = table_of(report, "Weight of L and M");
    REQUIRE(weights.rows.size() == 1);
    CHECK(weights.rows[0][3] == fixed(fit.share, 3));
    CHECK(weights.rows[0][4] == fixed(fit.share_95.low, 3) + " to " + fixed(fit.share_95.high, 3));
    CHECK(holds(words_of(report, "Weights of luminance"), "It is no diagnosis."));
    CHECK(section_named(report_of({StudyMaker().settings("P01", 4, 1)}).sections, "Weights") == nullptr);
}
