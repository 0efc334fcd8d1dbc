// What scenes light, how sliders drive a half, and what reveals tell.

#include "protocols/lectures/lecture_setup.h"

#include <catch2/catch.hpp>
#include <cmath>

#include "base/random.h"
#include "protocols/lectures/reveal_words.h"
#include "support/error_text.h"
#include "support/invented_display.h"
#include "support/protocols/example_lecture.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

constexpr int kLook = 1;
constexpr int kSteer = 4;
constexpr int kRevealOfSteer = 5;
constexpr int kRevealOfLines = 6;
constexpr double kRounding = 1e-12;

Lms emitted(const LectureSetup& setup, int scene, Half half, const std::vector<double>& positions = {}) {
    return setup.stage().solver(half).lms(setup.lights(scene, positions)[static_cast<std::size_t>(half)]);
}

Lms wanted(const LectureSetup& setup, const std::string& light) {
    return setup.stage().light(parse_light(light), 0).lms;
}

}  // namespace

TEST_CASE("halves get the lights that a scene names, in the observer's excitations") {
    const LectureSetup setup = lecture_setup_of(kExampleLecture);
    CHECK_FALSE(setup.shows_field(0));
    REQUIRE(setup.shows_field(kLook));
    CHECK(emitted(setup, kLook, Half::first).vector().isApprox(wanted(setup, "grey").vector(), kRounding));
    CHECK(emitted(setup, kLook, Half::second).vector().isApprox(wanted(setup, "violet").vector(), kRounding));
    CHECK(setup.starts(kLook).empty());
    REQUIRE(setup.margin(kLook));
    CHECK(*setup.margin(kLook) > 0.05);
    CHECK_FALSE(setup.margin(0));
}

TEST_CASE("black is the screen's own black") {
    const LectureSetup setup =
        lecture_setup_of(lecture_with({{"left: grey, right: violet", "left: black, right: violet"}}));
    CHECK(setup.lights(kLook)[0].fractions == Eigen::VectorXd::Zero(3));
}

// The formula of the language: ((1 - share) first + share second) times amount, at seeded places.
TEST_CASE("a steered half emits the mix that its sliders ask for") {
    const LectureSetup setup = lecture_setup_of(kExampleLecture);
    const Eigen::Vector3d first = wanted(setup, "pinkish").vector();
    const Eigen::Vector3d second = wanted(setup, "violet").vector();
    const RandomStream stream{11, 1};
    for (std::uint64_t i = 0; i < 200; ++i) {
        const double share = stream.uniform(2 * i);
        const double place = stream.uniform(2 * i + 1);
        const double amount = 0.5 + place;
        const Eigen::Vector3d expected = amount * ((1.0 - share) * first + share * second);
        CHECK(emitted(setup, kSteer, Half::second, {share, place}).vector().isApprox(expected, kRounding));
        CHECK(emitted(setup, kSteer, Half::first, {share, place})
                  .vector()
                  .isApprox(wanted(setup, "grey").vector(), kRounding));
    }
    CHECK(setup.starts(kSteer) == std::vector<double>{0.2, 0.5});
    CHECK(setup.lights(kSteer)[1].fractions == setup.lights(kSteer, {0.2, 0.5})[1].fractions);
}

TEST_CASE("the margin of a steered scene is the least over the whole way of its sliders") {
    const LectureSetup setup = lecture_setup_of(kExampleLecture);
    double least = 0.5;
    for (int i = 0; i <= 20; ++i) {
        for (int j = 0; j <= 20; ++j) {
            const LinearDrive drive = setup.lights(kSteer, {i / 20.0, j / 20.0})[1];
            least = std::min({least, drive.fractions.minCoeff(), 1.0 - drive.fractions.maxCoeff()});
        }
    }
    CHECK(*setup.margin(kSteer) == Approx(least).epsilon(1e-9));
}

TEST_CASE("positions that are none are a programmer's fault") {
    const LectureSetup setup = lecture_setup_of(kExampleLecture);
    CHECK_THROWS_AS(setup.lights(kSteer, {0.5}), std::logic_error);
    CHECK_THROWS_AS(setup.lights(kSteer, {0.5, 1.1}), std::logic_error);
    CHECK_THROWS_AS(setup.lights(kSteer, {0.5, std::nan("")}), std::logic_error);
    CHECK_THROWS_AS(setup.lights(0), std::logic_error);
    CHECK_THROWS_AS(setup.lights(99), std::logic_error);
}

TEST_CASE("a reveal of a steered scene compares what was steered with the other half") {
    const LectureSetup setup = lecture_setup_of(kExampleLecture);
    const Revealed revealed = setup.reveal(kRevealOfSteer, {0.0, 0.5});
    REQUIRE(revealed.lights.size() == 2);
    CHECK(revealed.lights[0].name == "grey");
    CHECK(revealed.lights[1].name == "steered");
    REQUIRE(revealed.pairs.size() == 1);
    const auto& contrast = revealed.pairs[0].nominal.contrast;
    CHECK(contrast[0].value() == Approx(0.06).margin(1e-9));
    CHECK(contrast[1].value() == Approx(-0.06).margin(1e-9));
    CHECK(contrast[2].value() == Approx(0.0).margin(1e-9));
    // What is told of a spectrum and what is told of its excitations belong together.
    for (const RevealedLight& light : revealed.lights)
        CHECK(
            setup.stage().observer().excitations(light.spectrum).vector().isApprox(light.lms.vector(), 1e-9));
}

TEST_CASE("on one screen a match is a match for every eye") {
    const LectureSetup setup =
        lecture_setup_of(lecture_with({{"mix: [pinkish, violet]", "mix: [grey, violet]"}}));
    const Revealed revealed = setup.reveal(kRevealOfSteer, {0.0, 0.5});
    CHECK(revealed.pairs[0].nominal.is_alike());
    CHECK(revealed.pairs[0].population.eyes == kRevealedEyes);
    CHECK(revealed.pairs[0].population.seen_by_any == 0);
    for (const auto& [type, sees] : revealed.pairs[0].dichromats_see)
        CHECK_FALSE(sees);
}

TEST_CASE("on two screens the mean eye's match is none for others") {
    const LectureSetup setup =
        lecture_setup_of(lecture_with({{"{screen: " + kLectureLcd + "}",
                                        "{broad: " + kLectureLcd + ", narrow: " + kLectureNarrowBand + "}"},
                                       {"left: screen", "left: broad"},
                                       {"right: screen", "right: narrow"},
                                       {"grey: xyY 0.31 0.33", "grey: daylight 6500 K"},
                                       {"mix: [pinkish, violet]", "mix: [grey, violet]"}}));
    const Revealed revealed = setup.reveal(kRevealOfSteer, {0.0, 0.5});
    CHECK(revealed.pairs[0].nominal.is_alike());
    CHECK(revealed.pairs[0].population.seen_by_any > kRevealedEyes / 2);
}

// An S-cone difference alone: common practice, no source, by the definition of the three dichromacies.
TEST_CASE("eyes that lack S cones alone do not see what S cones alone see") {
    const LectureSetup setup = lecture_setup_of(lecture_with({{"of: find", "of: look, cones: [L, M]"}}));
    const RevealedPair pair = setup.reveal(kRevealOfSteer).pairs.at(0);
    CHECK_FALSE(pair.nominal.is_alike());
    CHECK(pair.with_cones_shown.is_alike());
    CHECK_FALSE(pair.dichromats_see.at(EyeType::tritanope));
    CHECK(pair.dichromats_see.at(EyeType::protanope));
    CHECK(pair.dichromats_see.at(EyeType::deuteranope));
}

TEST_CASE("described lights are themselves, on whatever screen") {
    const LectureSetup setup = lecture_setup_of(kExampleLecture);
    const Revealed revealed = setup.reveal(kRevealOfLines);
    REQUIRE(revealed.lights.size() == 2);
    REQUIRE(revealed.lights[0].spectrum.lines().size() == 1);
    CHECK(revealed.lights[0].spectrum.lines()[0].nm == 500.0);
    CHECK_FALSE(revealed.lights[0].spectrum.has_continuous_part());
}

TEST_CASE("four lights are compared with the first one each") {
    const LectureSetup setup =
        lecture_setup_of(lecture_with({{"of: find", "lights: [grey, pinkish, violet, grey]"}}));
    const Revealed revealed = setup.reveal(kRevealOfSteer);
    REQUIRE(revealed.pairs.size() == 3);
    CHECK(revealed.pairs[1].second == 2);
    CHECK_FALSE(revealed.pairs[0].nominal.is_alike());
    CHECK(revealed.pairs[2].nominal.is_alike());
}

TEST_CASE("a reveal speaks of calculated eyes, in the lecture's languages, and names its limits") {
    const LectureSetup setup = lecture_setup_of(lecture_with({{"of: find", "of: look, cones: [L, M]"}}));
    const Revealed revealed = setup.reveal(kRevealOfSteer);
    const std::vector<std::string> english = reveal_words(revealed, "en");
    const std::vector<std::string> german = reveal_words(revealed, "de");
    REQUIRE(english.size() == german.size());
    CHECK(english.at(0) == "With L and M cones alone they look alike: what is caught is the same from both.");
    CHECK(english.at(1) ==
          "A calculated mean eye of 32 years tells them apart: from the second light S catches 60 % more.");
    CHECK(
        english.at(2) ==
        "All of 400 calculated eyes, as different as eyes with three kinds of cones usually are, would tell "
        "them apart.");
    CHECK(english.at(3) == "A calculated eye that lacks L or M cones tells them apart.");
    CHECK(english.at(4) == "To a calculated eye that lacks S cones they look alike.");
    CHECK(english.back() ==
          "Counted as different: from 1 % in L or M, from 5 % in S. This is a calculation about lights; it "
          "says nothing about the eyes of anybody here.");
    for (std::size_t i = 0; i < english.size(); ++i)
        CHECK(english[i] != german[i]);
    CHECK(german.at(0) ==
          "Mit L- und M-Zapfen allein sehen sie gleich aus: Gefangen wird von beiden gleich viel.");
    CHECK(german.at(1) ==
          "Ein berechnetes mittleres Auge von 32 Jahren unterscheidet sie: Vom zweiten Licht fangen S-Zapfen "
          "60 % "
          "mehr.");
    CHECK(german.at(3) == "Ein berechnetes Auge, dem L- oder M-Zapfen fehlen, unterscheidet sie.");
    CHECK(reveal_words(revealed, "fr") == english);
}

TEST_CASE(
    "cautions name invented screens, what one screen cannot show, unused lights and that nothing is "
    "diagnosed") {
    const LectureSetup setup = lecture_setup_of(lecture_with({{"  violet:", "  unused: black\n  violet:"}}));
    std::string all;
    for (const std::string& caution : caution_texts(setup.cautions()))
        all += caution + "\n";
    CHECK_THAT(all, Catch::Contains("invented demo data") && Catch::Contains("whichever they are") &&
                        Catch::Contains("The light 'unused' (line 13) is never used.") &&
                        Catch::Contains("diagnoses nothing") && !Catch::Contains("would fit."));
}

TEST_CASE("an observer of another field than the lecture's is told") {
    const LectureSetup setup = lecture_setup_of(lecture_with({{"field: 10 deg, age", "field: 2 deg, age"}}));
    std::string all;
    for (const std::string& caution : caution_texts(setup.cautions()))
        all += caution + "\n";
    CHECK_THAT(all,
               Catch::Contains("The observer's field is 2 deg but the field is 10 deg: an observer of 10 "
                               "deg would fit."));
}

// Where primaries do not add up the gamut is not convex, so places between the corners are looked at too.
TEST_CASE(
    "a screen whose primaries interact is steered over its whole way, and its margin is that of the way") {
    const Calibration calibration = interacting_calibration(0.05);
    const LectureSetup setup(parse_lecture(kExampleLecture, "example.yaml"), {calibration});
    const Eigen::Vector3d first = wanted(setup, "pinkish").vector();
    const Eigen::Vector3d second = wanted(setup, "violet").vector();
    double least = 0.5;
    for (int i = 0; i <= 10; ++i) {
        for (int j = 0; j <= 10; ++j) {
            const double amount = 0.5 + j / 10.0;
            const Eigen::Vector3d expected = amount * ((1.0 - i / 10.0) * first + i / 10.0 * second);
            // The screen's inverse is as exact as this (InteractionInverse).
            CHECK(
                emitted(setup, kSteer, Half::second, {i / 10.0, j / 10.0}).vector().isApprox(expected, 1e-7));
            const LinearDrive drive = setup.lights(kSteer, {i / 10.0, j / 10.0})[1];
            least = std::min({least, drive.fractions.minCoeff(), 1.0 - drive.fractions.maxCoeff()});
        }
    }
    CHECK(setup.margin(kSteer).value() <= least + 1e-9);
}
