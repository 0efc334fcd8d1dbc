#pragma once
// This header reads a spectrum as programs print it: one "wavelength value" in each line.

#include <string>
#include <string_view>

#include "calibration/instruments/instrument.h"

namespace isoseam {

// Blanks, a comma, a semicolon or a tab separate the two. '#' starts a comment, and empty lines do not count.
// A line that is one of the words "saturated" or "too dark" means that trouble. Signed values are allowed.
// Anything else is Trouble::garbled, with the number and the words of the first few wrong lines. `who` begins
// the message, as in "the command".
ReadingOutcome parse_spectrum_lines(std::string_view text, const std::string& who);

// These say what to do if there is too much or too little light. The words are the same for every instrument.
ReadingFailure saturated(const std::string& who);
ReadingFailure too_dark(const std::string& who);

}  // namespace isoseam
