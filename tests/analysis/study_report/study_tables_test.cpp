#include "analysis/study_report/study_tables.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>

#include "support/example_study.h"
#include "support/report_parts.h"

using namespace isoseam;
using namespace isoseam::test;

TEST_CASE("ages stand in the report only where a question asked for them") {
    const StudyMaker maker;
    SessionFolder folder = maker.settings("P01", 3, 1);
    CHECK(holds(words_of(report_of({folder}), "Who took part"), "Ages are not recorded."));
    folder.events.push_back(
        {3, 1.0, "question_answered", {{"name", "glasses"}, {"when", "before"}, {"value", true}}});
    folder.events.push_back(
        {4, 1.0, "question_answered", {{"name", "age"}, {"when", "before"}, {"value", 41}}});
    const PageDocument asked = report_of({folder, maker.settings("P02", 3, 2)});
    CHECK_FALSE(holds(words_of(asked, "Who took part"), "Ages are not recorded."));
    const PageTable people = table_of(asked, "Participants");
    CHECK(people.rows[0].back() == "41");
    CHECK(people.rows[1].back() == "not told");
    CHECK(table_of(asked, "about themselves").rows[0] ==
          std::vector<std::string>{"P01", folder.header.session, "before", "glasses", "yes"});
}

TEST_CASE("what the calibration foretells, and what is wrong with it, is told") {
    const StudyMaker maker;
    SessionFolder folder = maker.settings("P01", 3, 1, "2099-12-31");
    CHECK(report_of({folder}).sections.front().title == "Who took part");
    SessionFolder late = maker.settings("P01", 3, 1);
    late.header.started_utc = "2100-01-01T09:00:00.000Z";
    const PageDocument expired_report = report_of({late});
    CHECK(holds(words_of(expired_report, "Read this first"),
                "was used after its last day, 2099-12-31, in 1 session: " + late.header.session));
    // The head of the demo file: its white has x 0.3135, y 0.3300 and 119.84 cd/m2, and black 0.16 cd/m2
    // more.
    const std::vector<std::string> white = table_of(expired_report, "Calibrations").rows[0];
    CHECK(std::stod(white[7]) == Approx(120.0).margin(0.02));
    // Its black moves the white a little.
    CHECK(std::stod(white[8]) == Approx(0.3135).margin(3e-4));
    CHECK(std::stod(white[9]) == Approx(0.3300).margin(3e-4));

    SessionFolder unreadable = maker.settings("P01", 3, 1);
    const StoredText junk = test::stored_text("demo_lcd.yaml", "name: LCD\n");
    unreadable.header.calibrations = {{junk.sha256, junk}};
    unreadable.header.sources[0].calibration = junk.sha256;
    const PageDocument report = report_of({unreadable});
    CHECK(holds(words_of(report, "Read this first"), "The calibration demo_lcd.yaml cannot be read"));
    CHECK(holds(words_of(report, "Spectra of a typical setting"), "Not drawn"));
    CHECK(table_of(report, "Conditions of").rows[0][6] == "n.d.");
    CHECK(table_of(report, "cone contrast").rows.size() == 2);
}

TEST_CASE("the reference of a condition has the luminance that its drives give") {
    // A quarter of each primary's light, and black: (119.84 - 0.16) / 4 + 0.16 would be near 30.
    const PageTable asked = table_of(report_of({StudyMaker().settings("P01", 3, 1)}), "Conditions of");
    CHECK(std::stod(asked.rows[0][6]) == Approx(0.25 * 119.84 + 0.16).margin(0.02));
    CHECK(asked.rows[0][2] == "3");
    CHECK(asked.rows[0][3] == "right (screen)");
    CHECK(asked.rows[0][4] == "left (screen)");
}

TEST_CASE("exclusion questions are told, and as flicker's only where the record says so") {
    const auto asked = [](std::vector<nlohmann::json> events) {
        SessionFolder folder = StudyMaker().settings("P01", 3, 1);
        for (const nlohmann::json& data : events)
            folder.events.push_back({3, 60.0, "exclusion_asked", data});
        return words_of(report_of({folder, StudyMaker().settings("P02", 3, 2)}), "What was asked");
    };
    const nlohmann::json general{{"question", "Are you ill?"}};
    const nlohmann::json flicker{{"question", "Have you had a seizure?"}, {"before_flicker", true}};
    const std::string without = asked({general, general});
    CHECK(holds(without, "Exclusion questions were asked in 1 of 2 sessions."));
    CHECK_FALSE(holds(without, "Before flicker"));
    const std::string both = asked({general, flicker});
    CHECK(holds(both, "Exclusion questions were asked in 1 of 2 sessions."));
    CHECK(holds(both, "Before flicker an exclusion question was asked in 1 of 2 sessions."));
    CHECK_FALSE(holds(asked({flicker}), "Exclusion questions"));
    CHECK_FALSE(holds(asked({}), "xclusion"));
}

TEST_CASE("adaptation that was cut short is told") {
    SessionFolder folder = StudyMaker().settings("P01", 3, 1);
    folder.events.push_back({3, 60.0, "adaptation_ended", {{"shown_s", 59.5}}});
    CHECK_FALSE(holds(words_of(report_of({folder}), "What was asked"), "cut short"));
    folder.events.push_back({4, 70.0, "adaptation_started", {{"light", "dim"}, {"duration_s", 60.0}}});
    folder.events.push_back({5, 75.0, "adaptation_ended", {{"shown_s", 5.0}}});
    CHECK(holds(words_of(report_of({folder}), "What was asked"), "Adaptation was cut short 1 of 2 times."));
    CHECK(holds(words_of(report_of({folder}), "Methods"),
                "\u201cdim\u201d for 60 s, but cut short 1 of 2 times."));
}
