#include <catch2/catch.hpp>

#include "colorimetry/light.h"
#include "support/error_text.h"

using namespace isoseam;
using isoseam::test::input_error_text;

namespace {

std::string normalised(std::string_view text) {
    return parse_light(text).text();
}
std::string error_of(std::string_view text) {
    return input_error_text([&] { parse_light(text); });
}

}  // namespace

TEST_CASE("every kind of light is read, and written back in its normal form") {
    const std::pair<const char*, const char*> cases[] = {
        {"monochromatic 589nm at 20 cd/m2", "monochromatic 589 nm at 20 cd/m2"},
        {" monochromatic 589.5 nm  at 1e-2 W/(sr m2) ", "monochromatic 589.5 nm at 0.01 W/(sr m2)"},
        {"xyY 0.31 .33 at 20 cd/m2", "xyY 0.31 0.33 at 20 cd/m2"},
        {"contrast L 5 % S -7% from grey", "contrast L 5 % M 0 % S -7 % from grey"},
        {"contrast M +0.1 % from (xyY 0.3 0.3 at 5 cd/m2)",
         "contrast L 0 % M 0.1 % S 0 % from (xyY 0.3 0.3 at 5 cd/m2)"},
        {"spectrum lamp.csv", "spectrum lamp.csv"},
        {"spectrum \"lamps/my lamp (2).csv\" at 20 cd/m2", "spectrum \"lamps/my lamp (2).csv\" at 20 cd/m2"},
        {"blackbody 2856 K at 20 cd/m2", "blackbody 2856 K at 20 cd/m2"},
        {"daylight 6500K at 20 cd/m2", "daylight 6500 K at 20 cd/m2"},
        {"illuminant  D65 at 0.5 W/(sr m2)", "illuminant D65 at 0.5 W/(sr m2)"},
        {"illuminant A at 20 cd/m2", "illuminant A at 20 cd/m2"},
        {"equal-energy at 20 cd/m2", "equal-energy at 20 cd/m2"},
        {"pooled-cardinal S 10 % L-M -2% from grey",
         "pooled-cardinal luminance 0 % L-M -2 % S 10 % from grey"},
        {"pooled-cardinal luminance 120 % from (illuminant E at 5 cd/m2)",
         "pooled-cardinal luminance 120 % L-M 0 % S 0 % from (illuminant E at 5 cd/m2)"},
        {"lms 0.0927 0.0811 0.0418", "lms 0.0927 0.0811 0.0418"},
        {"mixture 0.6 grey+40%(monochromatic 589 nm at 20 cd/m2) + white",
         "mixture 0.6 grey + 0.4 (monochromatic 589 nm at 20 cd/m2) + 1 white"},
        {"black", "black"},
        {"grey_2-b", "grey_2-b"},
        {"((grey))", "grey"},
    };
    for (const auto& [written, normal] : cases) {
        CHECK(normalised(written) == normal);
        CHECK(normalised(normal) == normal);
    }
}

TEST_CASE("a light tells the names and files that it needs, each once") {
    const LightSpec spec = parse_light(
        "mixture 0.5 (contrast L 5 % from grey) + 0.1 (pooled-cardinal S 1 % from dim) + 0.2 (spectrum "
        "a.csv) + white + grey + (mixture black + "
        "(spectrum b.csv))");
    CHECK(spec.names_used() == std::vector<std::string>{"grey", "dim", "white"});
    CHECK(spec.files_used() == std::vector<std::string>{"a.csv", "b.csv"});
}

TEST_CASE("names of lights") {
    for (const char* name : {"grey", "Grey2", "a-b_c", "L", "nm"}) {
        CHECK(is_light_name(name));
    }
    for (const char* name : {"", "2grey", "-grey", "gr ey", "gr\xC3\xA9y", "black", "mixture", "equal-energy",
                             "xyY", "daylight", "illuminant", "pooled-cardinal", "at", "from"}) {
        CHECK_FALSE(is_light_name(name));
    }
}

TEST_CASE("wrong wording is told with its column and what would do") {
    CHECK(error_of("") ==
          "column 1: the text ends where a word is missing; begin a light with one of: monochromatic, xyY, "
          "contrast, pooled-cardinal, "
          "spectrum, blackbody, daylight, illuminant, equal-energy, lms, mixture, black; or with a name");
    CHECK(error_of("monochromtic 589 nm at 20 cd/m2") ==
          "column 1: unknown kind of light 'monochromtic'; did you mean monochromatic?");
    CHECK(error_of("mixture 0.5 (blakbody 2856 K at 1 cd/m2)") ==
          "column 14: unknown kind of light 'blakbody'; did you mean blackbody?");
    CHECK(error_of("grey at 20 cd/m2") ==
          "column 6: 'at' follows a light that is already complete; end the light here, or join lights with: "
          "mixture A + B");
    CHECK(error_of("monochromatic 589 at 20 cd/m2") ==
          "column 15: '589' has no unit; write one after it: nm");
    CHECK(error_of("monochromatic 589 um at 20 cd/m2") == "column 19: unknown unit 'um'; write nm");
    CHECK(error_of("monochromatic at 20 cd/m2") ==
          "column 15: 'at' is not a number; write a number and a unit (nm)");
    CHECK(error_of("monochromatic 589 nm 20 cd/m2") ==
          "column 22: found '20' in place of 'at'; write how much light: at 20 cd/m2, or at 0.1 W/(sr m2)");
    CHECK(error_of("equal-energy") ==
          "column 13: the text ends before 'at'; write how much light: at 20 cd/m2, or at 0.1 W/(sr m2)");
    CHECK(error_of("equal-energy at 20") == "column 17: '20' has no unit; write one after it: cd/m2");
    CHECK(error_of("xyY 0.31 at 20 cd/m2") == "column 10: found 'at' in place of y; write a number");
    CHECK(error_of("xyY 0.31 0.33 at 20 W/(sr m2)") == "column 21: unknown unit 'W/(sr m2)'; write cd/m2");
    CHECK(error_of("lms 1 2") == "column 8: the text ends before S; write a number");
    CHECK(error_of("contrast L 5 from grey") == "column 12: '5' has no unit; write one after it: %");
    CHECK(error_of("contrast R 5 % from grey") ==
          "column 10: 'R' is no cone; write: contrast L 5 % M 0 % S 0 % from LIGHT (cones left out stay at 0 "
          "%)");
    CHECK(error_of("contrast from grey") ==
          "column 10: 'from' is no cone; write: contrast L 5 % M 0 % S 0 % from LIGHT (cones left out stay "
          "at 0 %)");
    CHECK(error_of("contrast L 5 % L 6 % from grey") ==
          "column 16: a second contrast for L; give one contrast for each cone");
    CHECK(
        error_of("contrast L-M 5 % from grey") ==
        "column 10: 'L-M' is no cone; write: contrast L 5 % M 0 % S 0 % from LIGHT (cones left out stay at 0 "
        "%)");
    CHECK(error_of("pooled-cardinal M 5 % from grey") ==
          "column 17: 'M' is no axis; write: pooled-cardinal luminance 1 % L-M 2 % S 10 % from LIGHT (axes "
          "left "
          "out stay at 0 %)");
    CHECK_THAT(error_of("pooled-cardinal from grey"), Catch::StartsWith("column 17: 'from' is no axis"));
    CHECK(error_of("pooled-cardinal S 5 % S 6 % from grey") ==
          "column 23: a second contrast for S; give one contrast for each axis");
    CHECK(error_of("pooled-cardinal L-M 0.05 from grey") ==
          "column 21: '0.05' has no unit; write one after it: %");
    CHECK(error_of("pooled-cardinal S 5 %") ==
          "column 22: the text ends where a word is missing; write luminance, L-M or S and a contrast in %, "
          "or: "
          "from LIGHT");
    CHECK(error_of("illuminant F2 at 20 cd/m2") ==
          "column 12: unknown illuminant 'F2'; write one of: A, D50, D55, D65, D75, E");
    CHECK(error_of("illuminant D65") ==
          "column 15: the text ends before 'at'; write how much light: at 20 cd/m2, or at 0.1 W/(sr m2)");
    CHECK(error_of("daylight D65 at 20 cd/m2") ==
          "column 10: 'D65' is not a number; write a number and a unit (K)");
    CHECK(error_of("contrast L 5 % from equal-energy at 20 cd/m2") ==
          "column 21: 'equal-energy' begins a light of more than one word; put that light in brackets: "
          "(equal-energy ...)");
    CHECK(error_of("mixture 0.5 grey + ") ==
          "column 20: the text ends where a word is missing; write a light's name, black, or a light in "
          "brackets");
    CHECK(error_of("mixture 0.5 (grey") ==
          "column 18: the text ends inside brackets; close the bracket of column 13 with ')'");
    CHECK(error_of("spectrum") == "column 9: no file name after 'spectrum'; write: spectrum lamp.csv");
    CHECK(error_of("spectrum \"lamp.csv") ==
          "column 10: a quoted file name that does not end or is empty; write: spectrum \"my lamp.csv\"");
    CHECK_THAT(error_of("mixture 0.5 at"), Catch::Contains("column 13: 'at' where a light is missing"));
}

TEST_CASE("lights that cannot be are refused with their column") {
    CHECK(error_of("monochromatic 359 nm at 20 cd/m2") ==
          "column 15: a monochromatic light of 359 nm, where no sensitivity is known; give 360 to 850 nm");
    CHECK_THAT(error_of("monochromatic 851 nm at 20 cd/m2"), Catch::Contains("give 360 to 850 nm"));
    CHECK_THAT(error_of("monochromatic nan nm at 20 cd/m2"), Catch::Contains("'nan' is not a"));
    CHECK(error_of("equal-energy at -20 cd/m2") == "column 17: a negative luminance of -20; give 0 or more");
    CHECK(error_of("equal-energy at -1 W/(sr m2)") == "column 17: a negative radiance of -1; give 0 or more");
    for (const char* text : {"xyY 0.3 0 at 1 cd/m2", "xyY 0.3 -0.1 at 1 cd/m2", "xyY 0.6 0.5 at 1 cd/m2",
                             "xyY -0.1 0.5 at 1 cd/m2"}) {
        CHECK_THAT(error_of(text),
                   Catch::StartsWith("column 5: x ") && Catch::Contains("x + y of 1 at most"));
    }
    CHECK(error_of("contrast L -101 % from grey") ==
          "column 12: a contrast of -101 %; give -100 % or more (at -100 % nothing is left)");
    CHECK_NOTHROW(parse_light("contrast L -100 % from grey"));
    CHECK_THAT(error_of("blackbody 0 K at 20 cd/m2"), Catch::Contains("give a temperature greater than 0 K"));
    CHECK(error_of("daylight 3999 K at 20 cd/m2") ==
          "column 10: daylight of 3999 K; give 4000 to 25000 K (the range of CIE 015)");
    CHECK_THAT(error_of("daylight 25001 K at 20 cd/m2"), Catch::Contains("give 4000 to 25000 K"));
    CHECK_THAT(error_of("lms 1 -1 1"), Catch::Contains("give three numbers of 0 or more"));
    CHECK(error_of("mixture -0.5 grey") ==
          "column 9: a factor of -0.5; light can only be added: give 0 or more");
    CHECK_THAT(error_of("mixture -50 % grey"), Catch::Contains("give 0 or more"));
}

TEST_CASE("brackets may be nested, but not without end") {
    const auto nested = [](std::size_t depth) {
        return std::string(depth, '(') + "grey" + std::string(depth, ')');
    };
    CHECK(normalised(nested(32)) == "grey");
    CHECK(error_of(nested(33)) ==
          "column 33: brackets more than 32 deep; name some of these lights and use the names");
    CHECK_THAT(error_of(nested(100000)), Catch::Contains("brackets more than 32 deep"));
}
