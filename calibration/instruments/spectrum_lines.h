#pragma once
// A spectrum as programs print it: one "wavelength value" a line.

#include <string>
#include <string_view>

#include "calibration/instruments/instrument.h"

namespace isoseam {

// Blanks, comma, semicolon or tab between the two; '#' starts a comment; empty lines do not count. A line
// that is one of the words "saturated" or "too dark" is that trouble. Signed values are allowed. Anything
// else is Trouble::garbled, with the number and the words of the first few lines that are wrong. `who` begins
// the message: "the command".
ReadingOutcome parse_spectrum_lines(std::string_view text, const std::string& who);

// What to do when there is too much or too little light; the same whoever says so.
ReadingFailure saturated(const std::string& who);
ReadingFailure too_dark(const std::string& who);

}  // namespace isoseam
