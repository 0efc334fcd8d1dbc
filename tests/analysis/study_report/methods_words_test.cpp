#include "analysis/study_report/methods_words.h"

#include <catch2/catch.hpp>

#include "support/example_study.h"
#include "support/report_parts.h"

using namespace isoseam;
using namespace isoseam::test;

TEST_CASE("the methods of known sessions, word by word") {
    const StudyMaker maker;
    const std::string hash = maker.header("P01").protocol.sha256.substr(0, 12);
    const StudyEvidence people = gather_study({maker.settings("P01", 6, 1), maker.settings("P02", 5, 2),
                                               maker.settings("P02", 4, 3, "2026-11-26")});
    const std::string words = words_of(study_report(people, "a test"), "Methods");
    CHECK(
        words ==
        "2 participants took part in 3 sessions of the protocol grey_match.yaml (SHA-256 " + hash +
            "\u2026), recorded by Isoseam 0.1.0 from 2026-11-25 to 2026-11-26. Source \u201cscreen\u201d was "
            "\u201cdemo LCD\u201d (calibration file demo_lcd.yaml of 2026-11-20, measured with a "
            "spectroradiometer), driven with 8 bits for each primary without dither; its white has 120 "
            "cd/m\u00b2. "
            "Lights were specified for the observer CIE 170-1:2006, field 2 deg, age 32 years (published "
            "table). Adapting lights were shown: \u201cdim\u201d for 60 s. In the conditions "
            "\u201cgrey\u201d and \u201cpale\u201d, the right half (source screen) was adjusted along L+M "
            "and S "
            "in cone contrast, and the left half (source screen) was the reference; there were 6 to 9 "
            "settings "
            "of each condition for each participant, 30 in all. Starting points differed from setting to "
            "setting. Both lights came from the same primaries.\n"
            "For each participant and condition, the mean and the standard deviation (n \u2212 1) of the "
            "settings\u2019 cone contrast from the predicted match were taken, by the drive values of both "
            "halves for the nominal observer. Scatter is told in MacLeod-Boynton l, s (CIE 170-2:2015) by 95 "
            "% "
            "ellipses of settings (chi-square) and of the mean (F distribution), and the mean was held "
            "against "
            "the predicted match by Hotelling\u2019s test. Variances between and within participants were "
            "estimated by one-way random effects (analysis of variance). All was computed by a test.\n");
}

TEST_CASE("the methods of one rehearsal are in the singular, and say that no person took part") {
    StudyMaker maker;
    maker.kind = "rehearsal";
    maker.measured = false;
    maker.screens = {"demo_lcd", "demo_narrow_band"};
    SessionFolder folder = maker.empty("sim1");
    maker.add_settings(folder, "grey", 1, 5);
    folder.state = SessionState::left_early;
    folder.events.pop_back();
    const std::string words = words_of(report_of({folder}), "Methods");
    CHECK(holds(words, "1 simulated observer took part in 1 rehearsal of the protocol grey_match.yaml"));
    CHECK(holds(words,
                "recorded by Isoseam 0.1.0. No person took part. 1 session was left early or interrupted "
                "and counts with what it holds."));
    CHECK(holds(words,
                "Source \u201cbroad\u201d was \u201cdemo LCD\u201d (calibration file demo_lcd.yaml, "
                "invented demo data)"));
    CHECK(holds(words, "In the condition \u201cgrey\u201d, the right half (source narrow) was adjusted"));
    CHECK(holds(words, "there were 1 setting of each condition") == false);
    CHECK(holds(words,
                "there was 1 setting for each participant, 1 in all. The two lights came from "
                "different primaries."));
    CHECK_FALSE(holds(words, "Adapting"));
    CHECK_FALSE(holds(words, "Scatter is told"));
    CHECK_FALSE(holds(words, "Starting points"));
    CHECK_FALSE(holds(words, "2000-01-01"));
}
