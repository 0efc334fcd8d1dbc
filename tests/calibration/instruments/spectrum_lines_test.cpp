#include "calibration/instruments/spectrum_lines.h"

#include <catch2/catch.hpp>

using namespace isoseam;

TEST_CASE("a program's lines are a spectrum, whatever stands between the two values") {
    const ReadingOutcome outcome = parse_spectrum_lines(
        "# an invented instrument\r\n380 1e-3\n390,-2.5e-6\r\n\n400;\t0 # dark\n  410   3\n", "the command");
    const auto& spectrum = std::get<InstrumentSpectrum>(outcome);
    CHECK(spectrum.wavelengths_nm == std::vector<double>{380.0, 390.0, 400.0, 410.0});
    CHECK(spectrum.values == std::vector<double>{1e-3, -2.5e-6, 0.0, 3.0});
}

TEST_CASE("what is no spectrum is told with the number of its line") {
    const auto failure = [](const char* text) {
        return std::get<ReadingFailure>(parse_spectrum_lines(text, "the command"));
    };
    const ReadingFailure garbage = failure("380 1\nready.\n390 nan\n400 1 2\n410\n420 x\x01y\n");
    CHECK(garbage.trouble == Trouble::garbled);
    CHECK(garbage.found ==
          "the command printed what is no spectrum: line 2: 1 values instead of two in 'ready.'; line 3: "
          "'nan' is not "
          "a finite number in '390 nan'; line 4: 3 values instead of two in '400 1 2'; and 2 more line(s)");
    CHECK(garbage.remedy == "print one 'wavelength value' a line, and comments after '#'");
    CHECK(failure("380 1\x02\n390 1\n").found ==
          "the command printed what is no spectrum: line 1: '1?' is not a finite number in '380 1?'");
    CHECK(failure("").found == "the command printed 0 'wavelength value' line(s)");
    CHECK(failure("380 1\n").trouble == Trouble::garbled);
}

TEST_CASE("a program may say that there is too much or too little light") {
    CHECK(std::get<ReadingFailure>(parse_spectrum_lines("saturated\n", "it")).trouble == Trouble::saturated);
    CHECK(std::get<ReadingFailure>(parse_spectrum_lines("# exposure 10 s\n too dark\n", "it")).found ==
          "it says that there is too little light");
}
