#pragma once
// Words in a figure: what may stand there, and how much room it takes.

#include <string>
#include <vector>

namespace isoseam {

inline constexpr double kMmPerPoint = 25.4 / 72.0;

// About how wide a text will be; widths of letters are those of a wide sans-serif face.
double text_width_mm(const std::string& text, double size_pt);

// Breaks a text at blanks, and words that are too long anywhere, so that no line is wider than width_mm by
// text_width_mm. At least one line.
std::vector<std::string> wrapped(const std::string& text, double size_pt, double width_mm);

// UTF-8 without control characters: line ends and tabs become blanks, other control characters too, faulty
// bytes U+FFFD.
std::string clean_text(const std::string& text);

}  // namespace isoseam
