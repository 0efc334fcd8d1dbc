// The grammar is held to our memory of CGATS.17, not to its text.

#include "calibration/formats/cgats_readings.h"

#include <catch2/catch.hpp>
#include <utility>

#include "support/error_text.h"
#include "support/example_readings.h"

using namespace isoseam;
using namespace isoseam::test;
using Catch::Matchers::Contains;

namespace {

const std::string kSound =
    "CGATS.17\n"                                           // line 1
    "ORIGINATOR \"a lab\"   # a comment\n"                 // 2
    "CREATED \"2026-11-20\"\n"                             // 3
    "KEYWORD \"FULL_DRIVE\"\n"                             // 4
    "FULL_DRIVE 255\n"                                     // 5
    "NUMBER_OF_FIELDS 8\n"                                 // 6
    "BEGIN_DATA_FORMAT\n"                                  // 7
    "SAMPLE_ID RGB_R RGB_G RGB_B\n"                        // 8
    "SPECTRAL_NM SPECTRAL_DEC SPECTRAL_NM SPECTRAL_DEC\n"  // 9
    "END_DATA_FORMAT\n"                                    // 10
    "NUMBER_OF_SETS 2\n"                                   // 11
    "BEGIN_DATA\n"                                         // 12
    "1 0 51 255 380 0.5 385 -1e-3\n"                       // 13
    "2\t255 255 255 380 1 385 2\r\n"                       // 14
    "END_DATA\n";                                          // 15

std::string changed(const std::string& from, const std::string& to) {
    std::string text = kSound;
    const std::size_t at = text.find(from);
    REQUIRE(at != std::string::npos);
    return text.replace(at, from.size(), to);
}

std::string fault_of(const std::string& text) {
    return input_error_text([&] { parse_cgats_readings(text, "a.txt"); });
}

}  // namespace

TEST_CASE("a table goes through CGATS.17 text and back, bit by bit") {
    Readings readings = example_readings();
    const CgatsHeader header{"a lab", "# no comment", "2026-11-20", "an instrument"};
    const std::string text = cgats_text(readings, header);
    CHECK(looks_like_cgats(text));
    CHECK(difference(parse_cgats_readings(text, "a.txt"), readings) == "");

    readings.unit = ReadingUnit::counts;
    for (Reading& row : readings.rows) {
        row.place = {};
        row.at_s = 0.0;
        row.step = "";
    }
    const std::string plain = cgats_text(readings, header);
    CHECK(plain.find("PATCH_X") == std::string::npos);
    CHECK(plain.find("SECONDS") == std::string::npos);
    CHECK(difference(parse_cgats_readings(plain, "a.txt"), readings) == "");
}

TEST_CASE("a table from elsewhere is read by its fields") {
    const Readings readings = parse_cgats_readings(kSound, "a.txt");
    CHECK(readings.unit == ReadingUnit::counts);
    CHECK(readings.wavelengths_nm == std::vector<double>{380.0, 385.0});
    REQUIRE(readings.rows.size() == 2);
    CHECK(readings.rows[0].drive.fractions == Eigen::Vector3d(0.0, 51.0 / 255.0, 1.0));
    CHECK(readings.rows[0].values == std::vector<double>{0.5, -1e-3});
    CHECK(readings.rows[1].line == 14);
    CHECK(difference(parse_cgats_readings(changed("CGATS.17", "ISO28178"), "a.txt"), readings) == "");
}

TEST_CASE("every fault of a CGATS.17 text is told with its line") {
    const std::pair<std::string, std::string> cases[] = {
        {changed("CGATS.17", "CGATS.5"), "a.txt:1:1: the file begins with 'CGATS.5'"},
        {changed("CREATED", "CRATED"), "a.txt:3:1: unknown keyword 'CRATED'; did you mean 'CREATED'?"},
        {changed("\"2026-11-20\"", "\"2026-11-20"), "a.txt:3:9: a text without its closing quote"},
        {changed("\"2026-11-20\"", "20 November"), "a.txt:3:1: CREATED: 2 values"},
        {changed("KEYWORD \"FULL_DRIVE\"\n", "\n"), "a.txt:5:1: FULL_DRIVE is not declared"},
        {changed("KEYWORD \"FULL_DRIVE\"\nFULL_DRIVE 255\n", ""),
         "a.txt:10:1: nothing says which value of RGB_R, RGB_G and RGB_B is full drive"},
        {changed("FULL_DRIVE 255", "FULL_DRIVE 0"), "a.txt:5:12: FULL_DRIVE: '0'; write a number above 0"},
        {changed("FULL_DRIVE 255", "FULL_DRIVE nan"), "a.txt:5:12: FULL_DRIVE: 'nan'"},
        {changed("FULL_DRIVE 255", "FULL_DRIVE 200"), "a.txt:13:8: RGB_B: 255; drives go from 0 to 200"},
        {changed("FIELDS 8", "FIELDS 9"), "a.txt:10: NUMBER_OF_FIELDS: 9 told, 8 found"},
        {changed("NUMBER_OF_FIELDS 8\n", ""), "a.txt:9: no NUMBER_OF_FIELDS"},
        {changed("RGB_G RGB_B", "RGB_G RGB_X"), "a.txt:8:23: unknown field 'RGB_X'; did you mean 'RGB_R'?"},
        {changed("RGB_G RGB_B", "RGB_G RGB_G"), "a.txt:8:23: a second field RGB_G"},
        {changed("RGB_G RGB_B", "RGB_G SECONDS"), "a.txt:8:23: field SECONDS is not declared"},
        {changed("SPECTRAL_DEC SPECTRAL_NM", "SPECTRAL_NM SPECTRAL_DEC"),
         "write pairs of SPECTRAL_NM and SPECTRAL_DEC"},
        {changed("SETS 2", "SETS 3"), "a.txt:15: NUMBER_OF_SETS: 3 told, 2 found"},
        {changed(" 0.5 ", " 0.5x "), "a.txt:13:16: SPECTRAL_DEC: '0.5x'; write a finite number"},
        {changed(" 0.5 ", " inf "), "a.txt:13:16: SPECTRAL_DEC: 'inf'; write a finite number"},
        {changed(" 0.5 ", " "), "a.txt:13:1: 7 values for 8 fields"},
        {changed("385 -1e-3", "375 -1e-3"), "a.txt:13:20: SPECTRAL_NM: 375 nm follows 380 nm"},
        {changed("385 2", "386 2"), "a.txt:14:1: SPECTRAL_NM: wavelengths that differ from the first set's"},
        {changed("END_DATA\n", ""), "the file ends without END_DATA;"},
        {changed("END_DATA\n", "END_DATA\n1 2\n"), "a.txt:16:1: '1' after END_DATA"},
        {changed("END_DATA_FORMAT\n", ""), "a.txt:10:1: unknown field 'NUMBER_OF_SETS'"},
        {kSound.substr(0, 40), "the file ends without BEGIN_DATA"},
        {"", "no text; begin with CGATS.17"},
    };
    for (const auto& [text, wanted] : cases) {
        CAPTURE(text);
        CHECK_THAT(fault_of(text), Contains(wanted));
    }
    std::string two = changed("CREATED", "CRATED");
    two.replace(two.find("RGB_B"), 5, "RGB_X");
    CHECK_THAT(fault_of(two), Contains("unknown keyword 'CRATED'") && Contains("unknown field 'RGB_X'"));
}

TEST_CASE("a CGATS.17 text that breaks off anywhere is refused") {
    const std::string text = cgats_text(example_readings(), {"a", "b", "c", ""});
    const std::size_t last = text.find("END_DATA\n", text.find("BEGIN_DATA\n"));
    for (std::size_t size = 0; size < last + 8; size += 37) {
        CAPTURE(size);
        CHECK(fault_of(text.substr(0, size)) != "no error");
    }
}

TEST_CASE("what cannot stand in CGATS.17 text is refused when it is written") {
    const CgatsHeader quote{"a \"lab\"", "b", "c", ""};
    CHECK_THAT(input_error_text([&] { cgats_text(example_readings(), quote); }),
               Contains("ORIGINATOR: 'a \"lab\"' cannot stand in a CGATS.17 text"));
    CHECK_THAT(input_error_text([&] {
                   cgats_text(example_readings({"p1", "p2", "p3", "p4"}), {"a", "b", "c", ""});
               }),
               Contains("4 primaries, p1, p2, p3, p4; CGATS.17 text holds r, g and b: write a CSV table"));
}
