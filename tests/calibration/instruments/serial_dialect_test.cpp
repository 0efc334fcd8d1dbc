#include "calibration/instruments/serial_dialect.h"

#include <catch2/catch.hpp>

#include "calibration/instruments/serial_answer.h"
#include "support/error_text.h"
#include "support/file_bytes.h"

using namespace isoseam;
using Catch::Contains;

namespace {

std::string example_path() {
    return ISOSEAM_SOURCE_DIR "/calibration/instruments/dialects/example.yaml";
}

SerialDialect small_dialect(const std::string& reading) {
    return parse_dialect(
        "isoseam_dialect: 1\ninstrument: invented\nline: {baud: 9600}\nreading: {send: \"R\\r\", until: "
        "\"\\r\\n.\\r\\n\", "
        "within: 1 s, " +
            reading +
            "}\nscale: 0.5\nunit: counts\nreplies:\n  - {begins: E, means: failed}\n  - {begins: E7, means: "
            "saturated, remedy: close the shutter}\n",
        "small.yaml");
}

ReadingFailure failure_of(const SerialDialect& dialect, const std::string& answer) {
    return std::get<ReadingFailure>(parse_answer(dialect, answer));
}

}  // namespace

TEST_CASE("the example dialect is read") {
    const SerialDialect dialect = read_dialect(example_path());
    CHECK(dialect.instrument == "example spectroradiometer (invented)");
    CHECK(dialect.line.baud == 115200);
    CHECK(dialect.opening.at(0).send == "HELLO\r\n");
    CHECK(dialect.reading.within_s == 60.0);
    CHECK(dialect.separated_by == Separator::comma);
    CHECK(dialect.first_nm == 380.0);
    CHECK(*dialect.count == 101);
    CHECK(dialect.scale == 0.001);
    CHECK(dialect.replies.size() == 3);
}

TEST_CASE("the dialect that the guide explains is one, and the same as the example") {
    const std::string guide = test::file_bytes(ISOSEAM_SOURCE_DIR "/calibration/README.md");
    const std::size_t begin = guide.find("isoseam_dialect: 1");
    REQUIRE(begin != std::string::npos);
    const SerialDialect told =
        parse_dialect(guide.substr(begin, guide.find("```", begin) - begin), "calibration/README.md");
    const SerialDialect example = read_dialect(example_path());
    CHECK(told.reading.send == example.reading.send);
    CHECK(told.reading.until == example.reading.until);
    CHECK(told.opening.at(0).expect == example.opening.at(0).expect);
    CHECK(told.count == example.count);
    CHECK(told.replies.at(2).remedy == example.replies.at(2).remedy);
}

TEST_CASE("all faults of a dialect are told at once, each at its place") {
    const std::string text =
        "isoseam_dialect: 1\n"
        "instrument: invented\n"
        "line: {baud: fast, parity: mark}\n"
        "reading:\n"
        "  send: \"R\"\n"
        "  until: \"\"\n"
        "  within: 3\n"
        "  seperated_by: comma\n"
        "  holds: values\n"
        "  first: 380 nm\n"
        "  step: 50 nm\n"
        "  count: 5000\n"
        "scale: 0\n"
        "unit: watts\n"
        "replies:\n"
        "  - {begins: E1, means: broken}\n";
    const std::string faults = test::input_error_text([&] { parse_dialect(text, "bad.yaml"); });
    for (const char* words :
         {"bad.yaml:3:14: line.baud:", "line.parity: ", "bad.yaml:6:10: reading.until: is empty",
          "bad.yaml:7:11: reading.within:", "seperated_by", "separated_by",
          "the last value would stand at 250330 nm", "scale: is not above 0",
          "unit: unknown unit 'watts'; write 'W/(sr m2 nm)' or 'counts'", "replies[1].means"})
        CHECK_THAT(faults, Contains(words));
    CHECK_THAT(test::input_error_text([] { parse_dialect("isoseam_dialect: 2\nx: y\n", "new.yaml"); }),
               Contains("version 2; this program reads version 1"));
    CHECK_THAT(
        test::input_error_text([] { small_dialect("holds: pairs, separated_by: blank, first: 380 nm"); }),
        Contains("reading.first: pairs carry their own wavelengths; leave it out"));
}

TEST_CASE("an answer of values lies on the dialect's wavelengths and is scaled") {
    const SerialDialect dialect = small_dialect(
        "holds: values, separated_by: comma, skip_lines: 1, first: 400 nm, step: 2.5 nm, count: 4");
    const auto spectrum =
        std::get<InstrumentSpectrum>(parse_answer(dialect, "exposure 3\r\n1, 2,\r\n-3,4e2\r\n.\r\n"));
    CHECK(spectrum.wavelengths_nm == std::vector<double>{400.0, 402.5, 405.0, 407.5});
    CHECK(spectrum.values == std::vector<double>{0.5, 1.0, -1.5, 200.0});
}

TEST_CASE("an answer of pairs carries its wavelengths") {
    const SerialDialect dialect = small_dialect("holds: pairs, separated_by: blank");
    const auto spectrum = std::get<InstrumentSpectrum>(parse_answer(dialect, "380  10\r\n381.5 20\r\n.\r\n"));
    CHECK(spectrum.wavelengths_nm == std::vector<double>{380.0, 381.5});
    CHECK(spectrum.values == std::vector<double>{5.0, 10.0});
}

TEST_CASE("a garbled answer is told with what was wrong in it") {
    const SerialDialect values =
        small_dialect("holds: values, separated_by: comma, first: 400 nm, step: 2 nm, count: 3");
    CHECK(failure_of(values, "1,2#\x81,3\r\n.\r\n").found ==
          "number 2 of the answer is '2#\\x81'; the answer was '1,2#\\x81,3\\r\\n.\\r\\n'");
    CHECK_THAT(failure_of(values, "1,2\r\n.\r\n").found, Contains("2 values instead of 3"));
    CHECK_THAT(failure_of(values, "1,,2,3\r\n.\r\n").found, Contains("number 2 of the answer is ''"));
    CHECK_THAT(failure_of(values, "1,2,inf\r\n.\r\n").found, Contains("number 3 of the answer is 'inf'"));
    CHECK_THAT(failure_of(values, "1,2,3\r\n.\r\n1").found, Contains("number 4 of the answer is '.'"));
    CHECK(failure_of(values, "").trouble == Trouble::garbled);
    CHECK_THAT(failure_of(small_dialect("holds: pairs, separated_by: tab"), "380\t1\t381\r\n.\r\n").found,
               Contains("3 numbers cannot be pairs"));
}

TEST_CASE("a reply that is no spectrum is known by how it begins, the longest beginning first") {
    const SerialDialect dialect = small_dialect("holds: pairs, separated_by: blank");
    const ReadingFailure bright = failure_of(dialect, "E7 TOO BRIGHT\r\n.\r\n");
    CHECK(bright.trouble == Trouble::saturated);
    CHECK(bright.found == "the instrument answered 'E7 TOO BRIGHT', which says that there is too much light");
    CHECK(bright.remedy == "close the shutter");
    CHECK(failure_of(dialect, "E3\r\n.\r\n").found ==
          "the instrument answered 'E3', which means that it failed");
    // Not before its line is complete: E7 could still follow.
    CHECK_FALSE(no_spectrum_reply(dialect, "E"));
    CHECK(no_spectrum_reply(dialect, "E\r"));
}
