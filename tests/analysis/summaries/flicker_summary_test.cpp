#include "analysis/summaries/flicker_summary.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <nlohmann/json.hpp>
#include <sstream>

#include "analysis/summaries/text_layout.h"
#include "support/seeded_sets.h"
#include "support/shown_session.h"

using namespace isoseam;
using Catch::Matchers::Contains;

namespace {

Observer nominal() {
    return Observer::cie170(Degrees::from_degrees(2.0), Years::from_years(32.0));
}

// Test lights of the screen's first and second primary against its white, at the null of this share.
test::ShownSession flicker_session(double share, double noise, int repeats, std::uint64_t seed) {
    test::ShownSession session({{"LCD", test::invented_calibration({620.0, 535.0, 455.0})}}, nominal());
    test::Draws draws(seed);
    const HalfRecord reference = session.half("first", "LCD", {0.3, 0.3, 0.3});
    const auto v = [share](const HalfRecord& half) {
        return share * half.lms[0] + (1.0 - share) * half.lms[1];
    };
    const HalfRecord black = session.half("second", "LCD", {0.0, 0.0, 0.0});
    for (int i = 0; i < repeats; ++i) {
        for (std::size_t primary = 0; primary < 2; ++primary) {
            std::vector<double> linear{0.0, 0.0, 0.0};
            linear[primary] = 1.0;
            const HalfRecord full = session.half("second", "LCD", linear);
            const double wanted = v(reference) * std::exp(noise * draws.normal());
            linear[primary] = (wanted - v(black)) / (v(full) - v(black));
            session.add_null(primary == 0 ? "long wave" : "middle wave",
                             session.half("second", "LCD", linear), reference);
        }
    }
    return session;
}

const ParticipantFlicker& only(const FlickerSummary& summary) {
    REQUIRE(summary.series.size() == 1);
    REQUIRE(summary.series[0].weights.size() == 1);
    return summary.series[0].weights[0];
}

}  // namespace

TEST_CASE("a session's settings give its share of L back, beside the standard's") {
    const FlickerSummary summary = summarise_flicker({flicker_session(0.75, 0.0, 3, 1).folder()});
    const ParticipantFlicker& weights = only(summary);
    REQUIRE(weights.fit);
    CHECK(weights.fit->share == Approx(0.75).margin(1e-6));
    // V_F = 0.68990272 L + 0.34832189 M in energy units; 1.89 for quantal fundamentals (CIE 170-2:2015).
    CHECK(weights.standard.ratio == Approx(0.68990272 / 0.34832189).epsilon(1e-7));
    CHECK(weights.standard.share == Approx(0.68990272 / (0.68990272 + 0.34832189)).epsilon(1e-7));
    CHECK(weights.standard.ratio_quantal == Approx(1.89).epsilon(1e-3));
    REQUIRE(weights.conditions.size() == 2);
    const FlickerCondition& long_wave = weights.conditions[0];
    CHECK(long_wave.condition == "long wave");
    CHECK(long_wave.settings == 3);
    CHECK(long_wave.took_turns);
    CHECK(long_wave.lm_adjusted > long_wave.lm_reference);
    CHECK(long_wave.setting < 0.0);  // more weight of L: less of the long-wave light is enough
    CHECK(long_wave.fit->residual == Approx(0.0).margin(1e-7));
    // Without scatter whatever is left over by rounding may disagree.
    for (const std::string& note : weights.notes)
        CHECK_THAT(note, Contains("do not agree"));
}

TEST_CASE("the standard observer's own settings give the standard's weights") {
    const ParticipantFlicker weights = only(
        summarise_flicker({flicker_session(0.68990272 / (0.68990272 + 0.34832189), 0.0, 2, 1).folder()}));
    CHECK(ratio_of_share(weights.fit->share) == Approx(weights.standard.ratio).epsilon(1e-5));
    for (const FlickerCondition& condition : weights.conditions)
        CHECK(condition.setting == Approx(0.0).margin(1e-7));
}

TEST_CASE("sessions of one participant are one fit, participants are not") {
    test::ShownSession first = flicker_session(0.7, 0.02, 3, 2);
    test::ShownSession second = flicker_session(0.7, 0.02, 3, 3);
    second.folder().header.session = "P01-20261126T160312Z";
    test::ShownSession other = flicker_session(0.5, 0.02, 3, 4);
    other.folder().header.participant = "P02";
    const FlickerSummary summary =
        summarise_flicker({first.folder(), other.folder(), second.folder(), first.folder()});
    REQUIRE(summary.series.size() == 1);
    REQUIRE(summary.series[0].weights.size() == 2);
    CHECK(summary.series[0].weights[0].fit->settings == 12);
    CHECK(summary.series[0].weights[1].participant == "P02");
    CHECK(summary.series[0].weights[1].fit->settings == 6);
    CHECK_THAT(summary.folders[3].left_out_because, Contains("the same session"));
}

TEST_CASE("conditions that tell nothing are named with the reason") {
    test::ShownSession session = flicker_session(0.7, 0.02, 3, 5);
    const HalfRecord reference = session.half("first", "LCD", {0.3, 0.3, 0.3});
    session.add("a match", session.half("second", "LCD", {0.29, 0.31, 0.3}), reference);
    session.add_null("same ratio", session.half("second", "LCD", {0.15, 0.151, 0.15}), reference);
    SettingRecord& two =
        session.add_null("two axes", session.half("second", "LCD", {0.3, 0.1, 0.0}), reference);
    two.axes = {"L", "M"};
    two.setting = {0.0, 0.0};
    two.start = {0.0, 0.0};
    const FlickerSummary summary = summarise_flicker({session.folder()});
    const ParticipantFlicker& weights = only(summary);
    CHECK(weights.fit->settings == 6);
    REQUIRE(weights.conditions.size() == 5);
    CHECK_THAT(weights.conditions[0].left_out_because, Contains("matches of colour"));
    CHECK_THAT(weights.conditions[3].left_out_because,
               Contains("L : M of its two lights differ by less than 1 %"));
    CHECK_THAT(weights.conditions[4].left_out_because, Contains("several axes"));
    CHECK_FALSE(weights.conditions[0].fit.has_value());
    CHECK_THAT(flicker_summary_text(summary), Contains("left out: it tells nothing"));
}

TEST_CASE("a session of colour matches alone gives no weights, in words") {
    test::ShownSession session({{"LCD", test::invented_calibration({620.0, 535.0, 455.0})}}, nominal());
    const HalfRecord reference = session.half("left", "LCD", {0.3, 0.3, 0.3});
    session.add("grey", session.half("right", "LCD", {0.29, 0.31, 0.3}), reference);
    const FlickerSummary summary = summarise_flicker({session.folder()});
    CHECK_FALSE(only(summary).fit.has_value());
    CHECK_THAT(flicker_summary_text(summary), Contains("No estimate: no condition tells how L and M weigh."));
    CHECK(to_json(summary)["series"][0]["weights"][0]["fit"].is_null());
}

TEST_CASE(
    "what makes a weight doubtful is noted: lights side by side, conditions apart, open ends, late frames") {
    test::ShownSession session = flicker_session(0.7, 0.005, 4, 6);
    for (SettingRecord& setting : session.folder().settings) {
        setting.adjusted_half = "right";
        setting.frames = FramesRecord{600, setting.trial == 1 ? 2 : 0, 0};
    }
    const FlickerSummary beside = summarise_flicker({session.folder()});
    CHECK_FALSE(only(beside).conditions[0].took_turns);
    CHECK(only(beside).conditions[0].with_late_frames == 1);
    CHECK_THAT(flicker_summary_text(beside),
               Contains("lay side by side") && Contains("late or dropped frames in 1"));

    test::ShownSession apart = flicker_session(0.7, 0.005, 4, 7);
    for (SettingRecord& setting : apart.folder().settings)
        for (double& excitation : setting.adjusted.lms)
            excitation *= 1.2;
    CHECK_THAT(flicker_summary_text(summarise_flicker({apart.folder()})),
               Contains("the conditions do not agree on one weight"));

    const std::string open =
        flicker_summary_text(summarise_flicker({flicker_session(0.98, 0.3, 3, 8).folder()}));
    CHECK_THAT(open, Contains("open") && Contains("cannot be excluded"));
}

TEST_CASE("the text says what it is for, is narrow, and diagnoses nobody") {
    test::ShownSession session = flicker_session(0.7, 0.02, 3, 9);
    session.folder().header.kind = "rehearsal";
    session.folder().settings[0].condition = std::string(60, 'a') + " " + std::string(60, 'b');
    const std::string text = flicker_summary_text(summarise_flicker({session.folder()}));
    CHECK_THAT(text, Contains("REHEARSAL") && Contains("share of L in luminance") && Contains("1.98") &&
                         Contains("1.89") && Contains("S cones count nothing here") &&
                         Contains("No figure is a diagnosis"));
    std::istringstream lines(text);
    for (std::string line; std::getline(lines, line);) {
        INFO(line);
        CHECK(text_columns(line) <= kTextColumns);
    }
}

TEST_CASE("the JSON form holds the figures, and null for an infinite ratio") {
    const nlohmann::json json = to_json(summarise_flicker({flicker_session(0.98, 0.3, 3, 8).folder()}));
    const nlohmann::json& weights = json["series"][0]["weights"][0];
    CHECK(weights["fit"]["open_high"] == true);
    CHECK(weights["fit"]["weight_l_to_m_interval_95"]["high"].is_null());
    CHECK(weights["fit"]["share_of_l_interval_95"]["high"] == 1.0);
    CHECK(weights["conditions"][0]["condition"] == "long wave");
    CHECK(weights["standard"]["weight_l_to_m"].get<double>() == Approx(1.98).epsilon(1e-3));
    CHECK_THAT(json.dump(), !Contains(":nan") && !Contains(":inf"));
}
