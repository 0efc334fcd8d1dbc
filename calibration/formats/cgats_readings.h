#pragma once
// A table of readings as CGATS.17 text (ISO 28178 has the same grammar): keyword and value lines, a list of
// fields, one set of values a line. The grammar, the keywords and the fields are written from memory of the
// standard, not checked against its text.

#include <string>
#include <string_view>

#include "calibration/readings.h"

namespace isoseam {

// What the standard wants told of every file. Free text, each in one line and without double quotes.
struct CgatsHeader {
    std::string originator;
    std::string descriptor;
    std::string created;          // a date
    std::string instrumentation;  // may be empty: left out
};

// The standard's own: SAMPLE_ID, SAMPLE_NAME (the step), RGB_R, RGB_G, RGB_B (drives), and a pair
// SPECTRAL_NM, SPECTRAL_DEC for each wavelength. What the standard has no word for is declared by its KEYWORD
// lines: FULL_DRIVE (which value of RGB_R is full drive), SPECTRAL_UNIT, and the fields PATCH_X, PATCH_Y,
// PATCH_WIDTH, PATCH_HEIGHT, SECONDS where some reading has them. Reads back to the same values, bit by bit.
// InputError for primaries other than r, g, b and for texts that cannot stand in quotes.
std::string cgats_text(const Readings& readings, const CgatsHeader& header);

// Any file of these keywords and fields, in any order of fields. Throws one InputError with every fault and
// its line: another identifier, unknown or undeclared keywords and fields, wrong counts of fields and sets,
// damaged numbers, no FULL_DRIVE (the standard does not say whether full is 1, 100 or 255), wavelengths that
// do not rise or differ from set to set. Counts are the unit if SPECTRAL_UNIT names none.
Readings parse_cgats_readings(std::string_view text, const std::string& file);

// Says whether a text begins as such a file does.
bool looks_like_cgats(std::string_view text);

}  // namespace isoseam
