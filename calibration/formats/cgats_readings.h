#pragma once
// This header reads and writes a table of readings as CGATS.17 text (ISO 28178 has the same grammar): keyword
// and value lines, a list of fields, and one set of values in each line. The grammar, the keywords and the
// fields are written from memory of the standard and were not checked against its text.

#include <string>
#include <string_view>

#include "calibration/readings.h"

namespace isoseam {

// This is what the standard requires every file to say. Each is free text in one line, without double quotes.
struct CgatsHeader {
    std::string originator;
    std::string descriptor;
    std::string created;  // a date
    // May be empty; then it is left out.
    std::string instrumentation;
};

// Writes the standard's own fields: SAMPLE_ID, SAMPLE_NAME (the step), RGB_R, RGB_G, RGB_B (drives), and a
// pair SPECTRAL_NM, SPECTRAL_DEC for each wavelength. KEYWORD lines declare what the standard has no word
// for: FULL_DRIVE (which value of RGB_R is full drive), SPECTRAL_UNIT, and, if some reading has them, the
// fields PATCH_X, PATCH_Y, PATCH_WIDTH, PATCH_HEIGHT and SECONDS. The text reads back to the same values, bit
// by bit. Throws an InputError for primaries other than r, g, b and for texts that cannot stand in quotes.
std::string cgats_text(const Readings& readings, const CgatsHeader& header);

// Reads any file of these keywords and fields, in any order of fields. Throws one InputError with every fault
// and its line: another identifier, unknown or undeclared keywords and fields, wrong counts of fields and
// sets, damaged numbers, no FULL_DRIVE (the standard does not say whether full is 1, 100 or 255), and
// wavelengths that do not rise or differ from set to set. The unit is counts if there is no SPECTRAL_UNIT.
Readings parse_cgats_readings(std::string_view text, const std::string& file);

// Says whether a text begins as such a file does.
bool looks_like_cgats(std::string_view text);

}  // namespace isoseam
