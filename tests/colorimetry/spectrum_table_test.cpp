#include <catch2/catch.hpp>

#include "colorimetry/spectrum.h"
#include "support/error_text.h"

using namespace isoseam;
using isoseam::test::input_error_text;

TEST_CASE("a spectrum file may have comments, a header, and any usual separator") {
    for (const char* text :
         {"400,1\n410,2.5\n", "wavelength_nm,radiance\n400,1\n410,2.5", "# lamp 3\r\n400;1\r\n410;2.5\r\n",
          "\n400\t1 # first\n\n410\t2.5", "\xEF\xBB\xBFnm  value\n400   1\n410  2.5\n"}) {
        const Spectrum spectrum = parse_spectrum_table(text, "lamp.csv");
        CHECK(spectrum.wavelengths_nm() == std::vector<double>{400.0, 410.0});
        CHECK(spectrum.values() == std::vector<double>{1.0, 2.5});
    }
}

TEST_CASE("all faulty lines of a spectrum file are told at once") {
    CHECK(
        input_error_text([] {
            parse_spectrum_table("nm,value\n400,1\n390,1\n410,-2\n420\n430,x\n440,nan\n6,1\n450,1,1\n",
                                 "lamp.csv");
        }) ==
        "lamp.csv:3:1: 390 nm follows 400 nm; sort the wavelengths, each only once\n"
        "lamp.csv:4:5: negative radiance -2 at 410 nm; a light has 0 or more at each wavelength; take the "
        "instrument's "
        "dark reading off, or set noise to 0\n"
        "lamp.csv:5:1: 1 values in a row; write rows of two numbers: wavelength in nm, radiance\n"
        "lamp.csv:6:5: 'x' is not a finite number; write rows of two numbers: wavelength in nm, radiance\n"
        "lamp.csv:7:5: 'nan' is not a finite number; write rows of two numbers: wavelength in nm, radiance\n"
        "lamp.csv:8:1: wavelength 6 nm; give wavelengths from 100 to 5000 nm\n"
        "lamp.csv:9:1: 3 values in a row; write rows of two numbers: wavelength in nm, radiance");
}

TEST_CASE("a spectrum file without rows is no spectrum") {
    for (const char* text : {"", "# nothing\n", "nm,value\n", "nm,value\n400,1\n"}) {
        CHECK_THAT(input_error_text([&] { parse_spectrum_table(text, "lamp.csv"); }),
                   Catch::StartsWith("lamp.csv: ") && Catch::Contains("rows of numbers; give at least two"));
    }
    CHECK(input_error_text([] { parse_spectrum_table("nm,a\nnm,b\n400,1\n410,1\n", "lamp.csv"); }) ==
          "lamp.csv:2:1: 'nm' is not a finite number; write rows of two numbers: wavelength in nm, radiance");
}
