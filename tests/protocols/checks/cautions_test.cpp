// What is said in plain words of a protocol that could be run.

#include <fmt/format.h>
#include <catch2/catch.hpp>

#include <cmath>

#include "protocols/checks/cautions.h"
#include "protocols/checks/check.h"
#include "support/invented_display.h"
#include "support/protocols/example_protocol.h"

using namespace isoseam;
using namespace isoseam::test;

namespace {

// A function: the order in which texts of headers and of sources are made is not defined.
std::pair<std::string, std::string> no_second_screen() {
    return {", narrow: " + kDemoNarrowBand, ""};
}
const std::pair<std::string, std::string> kRightOnFirst{"right: narrow", "right: lcd"};

// The caution that holds `words`, or "".
std::string caution(const std::vector<Caution>& cautions, const std::string& words) {
    for (const Caution& caution : cautions) {
        if (caution.text.find(words) != std::string::npos)
            return caution.text;
    }
    return "";
}

}  // namespace

TEST_CASE("the same primaries on both halves: what such matches can and cannot show") {
    const auto cautions = cautions_of(setup_of(example_with({no_second_screen(), kRightOnFirst})));
    const std::string& text = cautions.front().text;
    CHECK(text.find("Both halves are lit by the same primaries.") == 0);
    CHECK(text.find("whatever the eye, they match at equal drive values") != std::string::npos);
    CHECK(text.find("how precisely a person sets a match") != std::string::npos);
    CHECK(text.find("a dichromat's settings also spread along that eye's confusions") != std::string::npos);
    CHECK(text.find("nothing about an individual's cones") != std::string::npos);
    CHECK(caution(cautions, "different primaries").empty());
}

TEST_CASE("different primaries: the match depends on the eye") {
    const auto cautions = cautions_of(setup_of(kExample));
    CHECK(cautions.front().text.find(
              "The halves are lit by different primaries, so where a match falls depends on the "
              "observer's cone sensitivities, lens and macular pigment.") == 0);
    CHECK(caution(cautions, "the same primaries").empty());
}

TEST_CASE("the last word is that nothing here diagnoses") {
    const Caution last = cautions_of(setup_of(kExample)).back();
    CHECK(last.kind == CautionKind::diagnosis);
    CHECK(last.text.find("Matches describe settings and never diagnose") == 0);
    const ProtocolReport report = check_protocol(ISOSEAM_SOURCE_DIR "/protocols/library/demo.yaml", {});
    CHECK(report.cautions.back().find("Matches describe settings and never diagnose") == 0);
}

TEST_CASE("the texts keep the order of the cautions, with the one about diagnosis last") {
    const std::vector<Caution> cautions{{CautionKind::primaries, "a"},
                                        {CautionKind::diagnosis, "b"},
                                        {CautionKind::duration, "d"},
                                        {CautionKind::participant, "c"}};
    CHECK(caution_texts(cautions) == std::vector<std::string>{"a", "d", "c", "b"});
}

TEST_CASE("invented calibrations, unused lights and equal starts are told") {
    const auto cautions =
        cautions_of(setup_of(example_with({{"  pinkish:", "  spare: xyY 0.3 0.3 at 10 cd/m2\n  pinkish:"},
                                           {"start: 5 %", "start: 0 %"},
                                           {"start: 15 %", "start: 0 %"},
                                           {"start: 30 %", "start: 0 %"}})));
    CHECK_FALSE(caution(cautions, "'demo LCD' is invented demo data").empty());
    CHECK_FALSE(caution(cautions, "'demo narrow-band screen' is invented demo data").empty());
    CHECK(caution(cautions, "never used") == "The light 'spare' (line 11) is never used.");
    CHECK_FALSE(caution(cautions, "Every setting starts at the predicted match").empty());
    const auto fewer = cautions_of(setup_of(kExample));
    CHECK(caution(fewer, "never used").empty());  // grey is used by pinkish, too
    CHECK(caution(fewer, "Every setting starts").empty());
}

TEST_CASE("an observer for another field size is told") {
    CHECK(caution(cautions_of(setup_of(example_with({{"size: 2 deg", "size: 10 deg"}}))), "field is")
              .find("The observer's field is 2 deg but the field is 10 deg.") == 0);
    // The standard's observers end at 1 and 10 degrees: the nearest of them is the best there is.
    const auto small =
        setup_of(example_with({{"size: 2 deg", "size: 0.5 deg"}, {"field: 2 deg", "field: 1 deg"}}));
    CHECK(caution(cautions_of(small), "observer's field").empty());
}

TEST_CASE("a dim large field is told of rods, a bright or small one is not") {
    const std::pair<std::string, std::string> large{"size: 2 deg", "size: 4 deg"};
    CHECK_FALSE(
        caution(cautions_of(setup_of(example_with({large, {"at 30 cd/m2", "at 3 cd/m2"}}))), "rods").empty());
    CHECK(caution(cautions_of(setup_of(example_with({large}))), "rods").empty());
    CHECK(caution(cautions_of(setup_of(example_with({{"at 30 cd/m2", "at 3 cd/m2"}}))), "rods").empty());
}

TEST_CASE("a very bright adapting light is told with its luminance") {
    Calibration bright = read_calibration(kDemoLcd);
    for (Primary& primary : bright.primaries)
        primary.spectrum = primary.spectrum.scaled(20.0);
    const std::string text =
        example_with({no_second_screen(), kRightOnFirst, {"surround: black", "surround: grey"}}) +
        "adaptation: {light: xyY 0.31 0.33 at 1500 cd/m2, duration: 60 s}\n";
    const Setup setup(parse_protocol(text, "example.yaml"), {bright});
    CHECK(caution(cautions_of(setup), "IEC 62471")
              .find("The adapting light has 1500 cd/m2 on source 'lcd' for 60 s.") == 0);
    CHECK(caution(cautions_of(setup_of(kExample + "adaptation: {light: grey, duration: 60 s}\n")), "IEC")
              .empty());
}

// With a power tone response the light of one code is known in closed form.
TEST_CASE(
    "a fine step below one code is told, with the share of a code and what one code does to each cone") {
    const auto setup_with_fine = [](const std::string& fine) {
        Protocol protocol = parse_protocol(example_with({no_second_screen(),
                                                         kRightOnFirst,
                                                         {"cone_contrast", "primaries"},
                                                         {"L-M: {fine: 0.4 %", "primary 1: {fine: " + fine},
                                                         {"L+M:", "primary 2:"},
                                                         {"S:", "primary 3:"},
                                                         {"at 30 cd/m2", "at 40 cd/m2"},
                                                         {"contrast L 4 % M -4 % from grey", "grey"}}),
                                           "example.yaml");
        return Setup(std::move(protocol), {invented_calibration({620.0, 535.0, 455.0}, 2.2)});
    };
    const Setup setup = setup_with_fine("0.1 %");
    const DisplayModel& display = setup.solver(0).display();
    const DriveCode code = code_from_linear(setup.reference(0), display, 8);
    const auto light_of_one_code = [&](std::size_t primary) {
        return std::pow((code.values[primary] + 1) / 255.0, 2.2) -
               std::pow(code.values[primary] / 255.0, 2.2);
    };
    REQUIRE(0.001 < light_of_one_code(0));
    const std::string text = caution(cautions_of(setup, DitherKind::none), "'primary 1'");
    CHECK(text.find(fmt::format("it moves no primary by more than {:.2g} of one",
                                0.001 / light_of_one_code(0))) != std::string::npos);
    // One code of each primary against the light of the match; the largest counts.
    Eigen::Vector3d percent = Eigen::Vector3d::Zero();
    for (std::size_t i = 0; i < 3; ++i) {
        const Lms full = setup.observer().excitations(display.calibration().primaries[i].spectrum);
        percent = percent.cwiseMax(100.0 * light_of_one_code(i) *
                                   full.vector().cwiseQuotient(setup.adjustment(0, 8).predicted.vector()));
    }
    CHECK(text.find(fmt::format(
              "One step there changes L by up to {:.2g} %, M by up to {:.2g} % and S by up to {:.2g} %.",
              percent[0], percent[1], percent[2])) != std::string::npos);
    CHECK(caution(cautions_of(setup, DitherKind::none), "'primary 2'").empty());
    CHECK(caution(cautions_of(setup_with_fine("1.5 %"), DitherKind::none), "'primary 1'").empty());
    // Dither makes 64 steps of each code.
    CHECK(caution(cautions_of(setup), "'primary 1'").empty());
    CHECK_THAT(caution(cautions_of(setup_with_fine("0.005 %")), "'primary 1'"),
               Catch::Contains("8 bits with dither (14 bits of a 2 deg field's mean)"));
}
